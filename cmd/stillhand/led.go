package main

import "io"

// led is to with lead before what is written first, if anything ever is: an
// answer that cannot be written leaves a list of answers whole.
type led struct {
	to   io.Writer
	lead string
}

func (l *led) Write(p []byte) (int, error) {
	if lead := l.lead; lead != "" {
		l.lead = ""
		if _, err := io.WriteString(l.to, lead); err != nil {
			return 0, err
		}
	}
	return l.to.Write(p)
}
