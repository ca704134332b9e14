package listen

import "sync"

// Queue holds samples between whoever receives them and whoever listens. When it is full, the newest are lost and counted:
// what can not be kept up with is said, not hidden in an ever longer delay.
type Queue struct {
	lock   sync.Mutex
	more   sync.Cond
	parts  []part
	held   int
	most   int
	lost   int64 // in all
	closed bool
	spare  [][]float64
}

// part is a stretch of samples and how many were lost before it.
type part struct {
	samples []float64
	lost    int64
	stamp   int64
}

// NewQueue returns a queue for at most so many samples.
func NewQueue(most int) *Queue {
	q := &Queue{most: max(most, 1)}
	q.more.L = &q.lock
	return q
}

// Put copies samples into the queue, or as many of them as there is room for, and returns how many were lost. The stamp, such
// as when they came by the caller's clock, is handed back with them.
func (q *Queue) Put(samples []float64, stamp int64) (lost int) {
	q.lock.Lock()
	defer q.lock.Unlock()
	if q.closed {
		return len(samples)
	}
	room := min(q.most-q.held, len(samples))
	lost = len(samples) - room
	if room > 0 {
		var into []float64
		if n := len(q.spare); n > 0 {
			into, q.spare = q.spare[n-1][:0], q.spare[:n-1]
		}
		q.parts = append(q.parts, part{samples: append(into, samples[:room]...), stamp: stamp})
		q.held += room
	}
	if lost > 0 {
		q.lost += int64(lost)
		// Losses stand behind what was kept, before what comes next.
		if n := len(q.parts); n > 0 && len(q.parts[n-1].samples) == 0 {
			q.parts[n-1].lost += int64(lost)
		} else {
			q.parts = append(q.parts, part{lost: int64(lost), stamp: stamp})
		}
	}
	q.more.Signal()
	return lost
}

// Take waits for the next samples and copies them over dst. Samples lost before them are told; ok is false when the queue
// is closed and empty.
func (q *Queue) Take(dst []float64) (samples []float64, lost, stamp int64, ok bool) {
	q.lock.Lock()
	defer q.lock.Unlock()
	for len(q.parts) == 0 && !q.closed {
		q.more.Wait()
	}
	if len(q.parts) == 0 {
		return dst[:0], 0, 0, false
	}
	p := q.parts[0]
	copy(q.parts, q.parts[1:])
	q.parts[len(q.parts)-1] = part{}
	q.parts = q.parts[:len(q.parts)-1]
	q.held -= len(p.samples)
	dst = append(dst[:0], p.samples...)
	if p.samples != nil {
		q.spare = append(q.spare, p.samples)
	}
	return dst, p.lost, p.stamp, true
}

// Lost returns how many samples were lost in all.
func (q *Queue) Lost() int64 {
	q.lock.Lock()
	defer q.lock.Unlock()
	return q.lost
}

// Close tells that nothing more comes. What is held can still be taken.
func (q *Queue) Close() {
	q.lock.Lock()
	q.closed = true
	q.lock.Unlock()
	q.more.Broadcast()
}
