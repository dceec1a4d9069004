package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"sync"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"stillhand/midiin"
	"stillhand/session"
	"stillhand/session/dashboard"
	"stillhand/session/report"
	"stillhand/session/store"
)

// world is what the program meets outside: its streams and environment, the
// inputs and the screen.
type world struct {
	out      io.Writer
	err      io.Writer
	env      func(string) (string, bool)
	environ  []string  // all of it, NAME=value each
	terminal bool      // out is a terminal that can be drawn on
	keys     io.Reader // answers typed by the player; nil where nobody types
	open     func(name string) (midiin.Source, error)
	show     func(context.Context, dashboard.Options) error
	figures  func(ctx context.Context, path string) (store.TakeFigures, error)
	said     sync.Map // reminders
	args     []string
	crashes  map[string]string // what crashed, and where that is kept
}

func system() *world {
	kind := os.Getenv("TERM")
	w := &world{
		out: os.Stdout, err: os.Stderr, env: os.LookupEnv, environ: os.Environ(),
		terminal: term.IsTerminal(int(os.Stdout.Fd())) && kind != "" && kind != "dumb",
		open:     openSource,
		show:     dashboard.Run,
		figures:  takeFigures,
	}
	if term.IsTerminal(int(os.Stdin.Fd())) && term.IsTerminal(int(os.Stderr.Fd())) {
		w.keys = os.Stdin
	}
	return w
}

// run carries out one command line and returns the exit code.
func run(ctx context.Context, args []string, w *world) int {
	w.args = args
	results := &results{to: w.out}
	w.out = results
	root := newRoot(w)
	root.SetArgs(args)
	root.SetOut(w.out)
	root.SetErr(w.err)
	err := func() (err error) {
		defer session.Catch("the program", &err)
		return root.ExecuteContext(ctx)
	}()
	if lost := results.lost(); lost != nil && !errors.Is(err, lost) {
		err = errors.Join(err, lost)
	}
	var said bytes.Buffer
	code := exitCode(ctx, &said, crashed(w, err))
	w.parting(ctx, func() { _, _ = said.WriteTo(w.err) })
	return code
}

func newRoot(w *world) *cobra.Command {
	root := &cobra.Command{
		Use:   "stillhand",
		Short: "Coach a bass player's fretting hand from MIDI",
		Long: `Stillhand listens to a bass through MIDI, infers where the fretting hand is and
how sure that is, counts its shifts, and shows where the other finger system
would have saved a move, or cost none and stretched less.

Begin with stillhand demo: ? shows the keys and the signs, q leaves.

Exit codes: 0 done, 1 the work failed, 2 wrong usage, 130 interrupted.`,
		Version: version(), SilenceUsage: true, SilenceErrors: true,
		RunE: helpOr("command"),
	}
	root.SetFlagErrorFunc(badFlag)
	root.AddCommand(
		liveCommand(w), replayCommand(w), reviewCommand(w), neckCommand(w),
		reachCommand(w), ladderCommand(w), roundCommand(w),
		profileCommand(w), portsCommand(w), demoCommand(w), compareCommand(w), historyCommand(w), manCommand(),
	)
	root.Args = cobra.ArbitraryArgs // what is no command is said by the root itself
	root.SetHelpCommand(helpCommand())
	for _, c := range root.Commands() {
		c.Args = checkArguments
	}
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Args, c.RunE = cobra.ArbitraryArgs, helpOr("shell")
			for _, shell := range c.Commands() {
				shell.Args = checkArguments
			}
		}
	}
	return root
}

func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use: "help [COMMAND]", Short: "Help about any command",
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return usage("no command %q; see stillhand --help", strings.Join(args, " "))
			}
			return about.Help()
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) (names []string, _ cobra.ShellCompDirective) {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			for _, under := range about.Commands() {
				if under.IsAvailableCommand() {
					names = append(names, under.Name()+"\t"+under.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// helpOr is what a command does that has only others under it.
func helpOr(kind string) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usage("no %s %q; see %s --help", kind, args[0], c.CommandPath())
		}
		return c.Help()
	}
}

// checkArguments holds what was written to the command's line of use:
// "replay FILE", "live [SOURCE]", "review FILE...".
func checkArguments(c *cobra.Command, args []string) error {
	need, most := 0, 0
	names := strings.Fields(c.Use)[1:]
	for _, name := range names {
		if !strings.HasPrefix(name, "[") {
			need++
		}
		if most++; strings.HasSuffix(name, "...") {
			most = math.MaxInt
		}
	}
	line := "write " + strings.TrimSuffix(c.Parent().CommandPath()+" "+c.Use, "...")
	switch {
	case len(args) < need:
		return usage("%s: %s is missing: %s; see %s --help", c.Name(), strings.TrimSuffix(names[len(args)], "..."), line, c.CommandPath())
	case len(args) > most:
		return usage("%s: %q is one word too many: %s; see %s --help", c.Name(), args[most], line, c.CommandPath())
	}
	return nil
}

// notice says something that is no result and no failure, on one line.
func (w *world) notice(format string, args ...any) {
	fmt.Fprintln(w.err, oneLine(fmt.Sprintf(format, args...)))
}

// remind is notice, once however many files it holds for.
func (w *world) remind(format string, args ...any) {
	if _, before := w.said.LoadOrStore(fmt.Sprintf(format, args...), true); !before {
		w.notice(format, args...)
	}
}

// usualColumns is the width of a terminal that does not tell its own.
const usualColumns = 80

// columns is the width of the terminal that results are written to; 0 where
// they go elsewhere and nothing breaks their lines.
func (w *world) columns() int {
	columns, _, err := term.GetSize(int(os.Stdout.Fd()))
	switch {
	case err != nil:
		return 0
	case columns <= 0:
		return usualColumns
	}
	return columns
}

// paragraph is text in lines that break at words, each after indent.
func (w *world) paragraph(indent, text string) string {
	return report.NarrowParagraph(w.columns(), indent, text)
}

// tell writes a result as such lines.
func (w *world) tell(indent, format string, args ...any) {
	fmt.Fprint(w.out, w.paragraph(indent, fmt.Sprintf(format, args...)))
}

// entry is head and text, whose lines go on under its beginning.
func (w *world) entry(head, text string) string {
	return head + strings.TrimLeft(w.paragraph(strings.Repeat(" ", len(head)), text), " ")
}

// utf8 reports whether the locale's character set holds more than ASCII
// (POSIX: the first of these that is set decides).
func (w *world) utf8() bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale, ok := w.env(name); ok && locale != "" {
			locale = strings.ToLower(locale)
			return strings.Contains(locale, "utf-8") || strings.Contains(locale, "utf8")
		}
	}
	return false
}
