package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"stillhand/midiin"
)

func portsCommand(w *world) *cobra.Command {
	return &cobra.Command{
		Use: "ports", Short: "MIDI inputs found",
		RunE: func(*cobra.Command, []string) error {
			ports, err := midiin.Ports()
			if err != nil {
				return err
			}
			for _, p := range ports {
				fmt.Fprintf(w.out, "%2d  %s\n", p.Number, p.Name)
			}
			if len(ports) == 0 {
				w.notice("no MIDI input found: plug one in, or name a device or FIFO path, or - for standard input")
			}
			if hint := midiin.PortsHint(); hint != "" {
				w.notice("%s", hint)
			}
			return nil
		},
	}
}
