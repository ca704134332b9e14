package dense

import (
	"sync"
	"sync/atomic"
)

// InParallel calls do(0) … do(n−1) on up to workers goroutines. Calls must be independent of one another.
func InParallel(n, workers int, do func(i int)) {
	workers = min(workers, n)
	if workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	group.Wait()
}
