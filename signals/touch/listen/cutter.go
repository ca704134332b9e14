package listen

import (
	"fmt"

	"holdfast/signals"
)

// Cut is a touch cut out of a stream.
type Cut struct {
	Onset int64 // sample of the stream at which it begins, counted from 0, lost ones included
	Start int64 // sample at which Clip begins
	// Clip is as long as the rule says; shorter where the stream ended or lost samples. It is only valid until the next block.
	Clip    []float64
	Crowded bool // something struck again before the clip was over: two touches may be in it
}

// Cutter finds touches in a stream and cuts them out. The zero value is of no use; see NewCutter.
type Cutter struct {
	rule Rule

	ring []float64 // the last samples; sample n lies at n modulo the length, a power of two
	next int64     // number of the next sample
	from int64     // first sample since the start or the last loss

	short, long float64 // sums of squares

	pending       bool // a touch is being cut
	found         bool // its onset is placed
	passed, onset int64
	crowded, calm bool
	quietUntil    int64 // no touch begins before this sample

	clip, around []float64
}

// NewCutter checks a rule and prepares for it.
func NewCutter(r Rule) (*Cutter, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	need, size := max(r.Long, r.Before+r.Length+2*r.Short)+1, 1
	for size < need {
		size *= 2
	}
	return &Cutter{rule: r, ring: make([]float64, size), clip: make([]float64, 0, r.Length), around: make([]float64, 0, r.Before+r.Short)}, nil
}

// At returns the number of the next sample: how many came or were lost.
func (c *Cutter) At() int64 { return c.next }

// Feed takes the next samples and calls each for every touch whose clip they complete. A sample that is no finite number is
// an error that says which; those before it were taken, and the stream can go on after Skip.
func (c *Cutter) Feed(block []float64, each func(Cut)) error {
	r, mask := &c.rule, int64(len(c.ring)-1)
	for _, v := range block {
		if v-v != 0 {
			return fmt.Errorf("sample %d of the stream is no finite number; look at the cable and the sample format", c.next)
		}
		n := c.next
		c.next++
		since := n - c.from
		square := v * v
		old := c.ring[(n-int64(r.Short))&mask]
		c.short += square
		if since >= int64(r.Short) {
			c.short -= old * old
		}
		c.long += square
		if since >= int64(r.Long) {
			old = c.ring[(n-int64(r.Long))&mask]
			c.long -= old * old
		}
		c.ring[n&mask] = v
		if since%int64(r.Long) == 0 {
			c.renew(n)
		}
		c.look(n, since)
		if c.pending {
			c.proceed(n, each)
		}
	}
	return nil
}

// renew sums anew what is kept by adding and taking away, before rounding gathers. It happens at fixed samples, so that the
// sums do not depend on the blocks.
func (c *Cutter) renew(n int64) {
	c.short, c.long = 0, 0
	mask := int64(len(c.ring) - 1)
	for k := max(c.from, n-int64(c.rule.Long)+1); k <= n; k++ {
		square := c.ring[k&mask] * c.ring[k&mask]
		c.long += square
		if k > n-int64(c.rule.Short) {
			c.short += square
		}
	}
}

// look asks whether the threshold is passed at sample n.
func (c *Cutter) look(n, since int64) {
	r := &c.rule
	if since+1 < int64(r.Long) {
		return
	}
	short, long := c.short/float64(r.Short), c.long/float64(r.Long)
	loud := short > r.Threshold*long && short > r.Quietest*r.Quietest
	switch {
	case c.pending && !loud && short < long:
		c.calm = true
	case c.pending && loud && c.calm:
		c.crowded = true
	case !c.pending && loud && n >= c.quietUntil:
		c.pending, c.found, c.crowded, c.calm, c.passed = true, false, false, false, n
	}
}

// proceed places the onset and hands the clip over as soon as sample n allows it.
func (c *Cutter) proceed(n int64, each func(Cut)) {
	r := &c.rule
	if !c.found && n == c.passed+int64(r.Short) {
		c.place(n)
	}
	if c.found && n+1 >= c.start()+int64(r.Length) {
		c.hand(each)
	}
}

// place finds the onset in what came until sample n.
func (c *Cutter) place(n int64) {
	first := max(c.from, c.passed-int64(c.rule.Before))
	c.around = c.copied(c.around, first, n)
	c.onset = c.passed
	if k, _ := signals.OnsetByAIC(c.around); k >= 0 {
		c.onset = first + int64(k)
	}
	c.found = true
}

func (c *Cutter) start() int64 { return max(c.from, c.onset-int64(c.rule.Lead)) }

// copied returns samples first to last−1 in memory that is used again.
func (c *Cutter) copied(into []float64, first, last int64) []float64 {
	into = into[:0]
	mask := int64(len(c.ring) - 1)
	for k := first; k < last; k++ {
		into = append(into, c.ring[k&mask])
	}
	return into
}

func (c *Cutter) hand(each func(Cut)) {
	start := c.start()
	c.clip = c.copied(c.clip, start, min(c.next, start+int64(c.rule.Length)))
	c.pending, c.quietUntil = false, c.onset+int64(c.rule.Apart)
	each(Cut{Onset: c.onset, Start: start, Clip: c.clip, Crowded: c.crowded})
}

// End tells that no more samples come: a touch that is not over is handed over as far as it is known.
func (c *Cutter) End(each func(Cut)) {
	if c.pending {
		if !c.found {
			c.place(c.next)
		}
		c.hand(each)
	}
	c.from = c.next
	c.short, c.long = 0, 0
}

// Skip tells that samples were lost. A touch that is not over is handed over as far as it is known, and the background is
// learnt anew: for Long samples nothing is found.
func (c *Cutter) Skip(lost int64, each func(Cut)) {
	c.End(each)
	c.next += max(lost, 0)
	c.from = c.next
}
