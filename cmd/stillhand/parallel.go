package main

import "runtime"

// inOrder works on all cores and hands the results over one after another, in
// the order of the work.
func inOrder[T, R any](work []T, do func(T) R, take func(int, R)) {
	results := make([]chan R, len(work))
	for i := range results {
		results[i] = make(chan R, 1)
	}
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	go func() {
		for i, w := range work {
			free <- struct{}{}
			go func() {
				results[i] <- do(w)
				<-free
			}()
		}
	}()
	for i, r := range results {
		take(i, <-r)
	}
}
