package report

import (
	"strings"

	"stillhand/session"
)

// plain makes text from a file or a user safe to show on one line: see
// session.Printable; runs of white space become one blank. Escaping for HTML or
// CSV is the writer's and comes after.
func plain(s string) string {
	return strings.Join(strings.Fields(strings.Map(session.Printable, s)), " ")
}
