//go:build !unix

package dashboard

import (
	"os"

	"github.com/gdamore/tcell/v2"
)

func openTerminal() (tcell.Screen, *steadyTty, error) {
	s, err := tcell.NewScreen()
	return s, nil, err
}

func onSuspend(chan os.Signal) {}

func suspend(chan os.Signal) {}
