package api

import (
	"sync"

	"holdfast/domain"
)

// keptReadings is how many readings of a stream wait for whoever follows it: four seconds of a rig that reads a thousand times a second.
const keptReadings = 4096

// rigName is one kind of sensor on one hand.
type rigName struct {
	hand   domain.ID
	sensor string
}

// rigStreams pass on what rigs read to the pages that follow. Nothing is kept beyond the last readings.
type rigStreams struct {
	mu   sync.Mutex
	list map[rigName]*rigStream
}

func (f *rigStreams) of(name rigName) *rigStream {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.list == nil {
		f.list = map[rigName]*rigStream{}
	}
	if f.list[name] == nil {
		f.list[name] = newRigStream()
	}
	return f.list[name]
}

// rigStream holds the last readings of one rig, while somebody follows.
type rigStream struct {
	mu        sync.Mutex
	ring      []SensorReading // reading k lies at k modulo its length
	count     int64           // since somebody follows
	more      chan struct{}   // closed when readings have come
	followers int
}

func newRigStream() *rigStream { return &rigStream{more: make(chan struct{})} }

// put adds readings and says how many follow.
func (f *rigStream) put(list []SensorReading) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.followers == 0 {
		return 0
	}
	for _, r := range list {
		if len(f.ring) < keptReadings {
			f.ring = append(f.ring, r)
		} else {
			f.ring[f.count%keptReadings] = r
		}
		f.count++
	}
	close(f.more)
	f.more = make(chan struct{})
	return f.followers
}

// join begins to follow with what comes next; leave ends it.
func (f *rigStream) join() (from int64, leave func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.followers++
	return f.count, func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		if f.followers--; f.followers == 0 {
			f.ring, f.count = nil, 0
		}
	}
}

// since gives the readings from one on whose times rise, the number of the next, and how many before them were overwritten. Where none
// is there yet, more is closed when there is.
func (f *rigStream) since(from int64) (list []SensorReading, next, lost int64, more <-chan struct{}) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if first := f.count - int64(len(f.ring)); from < first {
		lost, from = first-from, first
	}
	for ; from < f.count; from++ {
		r := f.ring[from%keptReadings]
		if n := len(list); n > 0 && r.Time <= list[n-1].Time {
			break
		}
		list = append(list, r)
	}
	return list, from, lost, f.more
}
