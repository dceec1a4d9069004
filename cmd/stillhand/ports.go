package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"stillhand/midiin"
)

func portsCommand(w *world) *cobra.Command {
	return &cobra.Command{
		Use: "ports", Short: "MIDI inputs found",
		RunE: func(*cobra.Command, []string) error { return w.ports(midiin.Ports()) },
	}
}

// ports lists the inputs found; err is why there may be others, and is returned.
func (w *world) ports(found []midiin.Port, err error) error {
	for _, p := range found {
		fmt.Fprintf(w.out, "%2d  %s\n", p.Number, p.Name)
	}
	if len(found) == 0 && err == nil {
		w.notice("no MIDI input found: plug one in, or name a device or FIFO path, or - for standard input")
	}
	if hint := midiin.PortsHint(); hint != "" {
		w.notice("%s", hint)
	}
	return err
}
