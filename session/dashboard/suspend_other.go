//go:build !unix

package dashboard

import "os"

func onContinue(chan<- os.Signal) {}

func suspend() (continued bool) { return false }
