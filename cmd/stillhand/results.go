package main

import (
	"io"
	"sync"
)

// results is where results go. Once one is lost it takes no more of them, and says
// why: commands and libraries do not look at every write.
type results struct {
	to  io.Writer
	mu  sync.Mutex // of err alone: a write may wait for long
	err error
}

func (r *results) Write(p []byte) (int, error) {
	if err := r.lost(); err != nil {
		return 0, err
	}
	n, err := r.to.Write(p)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.err = err
	return n, err
}

// lost is why results could not be written; nil if all were.
func (r *results) lost() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.err
}
