package main

import "runtime"

// aheadOf is how many results, for each core, may be under way or wait for those
// before them: enough that one long piece of work leaves no core idle for long, few
// enough that they take no memory worth the name.
const aheadOf = 4

// inOrder works on all cores and hands the results over one after another, in
// the order of the work, until one is not taken: what has not begun by then is
// left. It never runs further ahead of what is taken than aheadOf says.
func inOrder[T, R any](work []T, do func(T) R, take func(int, R) bool) {
	results := make([]chan R, len(work))
	for i := range results {
		results[i] = make(chan R, 1)
	}
	cores := runtime.GOMAXPROCS(0)
	free := make(chan struct{}, cores)
	ahead := make(chan struct{}, aheadOf*cores)
	over := make(chan struct{})
	defer close(over)
	go func() {
		for i, w := range work {
			for _, room := range []chan struct{}{ahead, free} {
				select {
				case room <- struct{}{}:
				case <-over:
					return
				}
			}
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
		<-ahead
	}
}
