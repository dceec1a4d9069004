package main

import (
	"bytes"
	"context"
)

// Main lets scripts run the program inside the test binary.
var Main = main

// Run carries out one command line without a terminal and with nothing but
// home in its environment.
func Run(args ...string) (out, errs string, code int) {
	var o, e bytes.Buffer
	w := &world{out: &o, err: &e, env: func(string) (string, bool) { return "", false }}
	code = run(context.Background(), args, w)
	return o.String(), e.String(), code
}
