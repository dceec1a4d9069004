//go:build !unix

package midiin

import "fmt"

func openPath(path string, fifo bool) (Source, error) {
	return nil, fmt.Errorf("%s: devices and FIFOs are not read on this system: use a port", path)
}
