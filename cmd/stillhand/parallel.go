package main

import "runtime"

// inOrder works on all cores and hands the results over one after another, in
// the order of the work, until one is not taken: what has not begun by then is
// left.
func inOrder[T, R any](work []T, do func(T) R, take func(int, R) bool) {
	results := make([]chan R, len(work))
	for i := range results {
		results[i] = make(chan R, 1)
	}
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	over := make(chan struct{})
	defer close(over)
	go func() {
		for i, w := range work {
			free <- struct{}{}
			select {
			case <-over:
				return
			default:
			}
			go func() {
				results[i] <- do(w)
				<-free
			}()
		}
	}()
	for i, r := range results {
		if !take(i, <-r) {
			return
		}
	}
}
