package detect

import (
	"fmt"
	"math"
)

// Detector is how onsets are looked for in standardised readings.
type Detector string

// The detectors. CUSUM finds a change of the size asked for soonest, GLR one of any size nearly as soon, Energy what swings both ways and
// leaves the mean alone, as a knock that rings.
const (
	ByCUSUM  Detector = "cusum"
	ByGLR    Detector = "glr"
	ByEnergy Detector = "energy"
)

// watcher follows standardised readings one by one.
type watcher interface {
	// add takes a reading: how strongly it speaks for a change by now, how many readings ago that began, its way, and whether it alarms.
	add(z float64) (score float64, ago int, up, alarm bool)
	// restart forgets what was before an alarm.
	restart()
}

// glrWindow (s) and glrMost (readings) bound how far back a change is looked for.
const (
	glrWindow = 0.1
	glrMost   = 1000
)

// watch makes a detector for a rate (readings a second), with its threshold, the readings between its false alarms, and the mean delay
// (readings) of a lasting change of Shift; endless is one that never alarms, for the peak score.
func (s *OnsetSettings) watch(rate float64) (w, endless watcher, threshold, delay float64, err error) {
	length, k := Readings(s.FalseAlarmsPerHour, rate), s.Shift/2
	switch s.Detector {
	case "", ByCUSUM:
		if threshold, err = Threshold(k, length, true); err != nil {
			return nil, nil, 0, 0, err
		}
		head := 0.0
		if s.Head {
			head = threshold / 2
		}
		return newTwoSided(k, threshold, head), newTwoSided(k, math.Inf(1), 0), threshold, RunLength(k, threshold, s.Shift, head), nil
	case ByGLR:
		if threshold, err = GLRBound(length); err != nil {
			return nil, nil, 0, 0, err
		}
		window := min(max(1, int(glrWindow*rate)), glrMost)
		return &likeliest{GLR{Bound: threshold, Window: window}}, &likeliest{GLR{Bound: math.Inf(1), Window: window}}, threshold, Delay(length, s.Shift), nil
	case ByEnergy:
		if !(s.Window >= 0) || s.Window*rate > 1e6 {
			return nil, nil, 0, 0, fmt.Errorf("a window of %g s at %g readings a second is not possible", s.Window, rate)
		}
		window := int(math.Round(s.Window * rate))
		if s.Window == 0 {
			window = max(5, int(math.Round(usualWindow*rate)))
		}
		e, err := NewEnergy(window, math.Min(0.5, float64(window)/length))
		if err != nil {
			return nil, nil, 0, 0, err
		}
		return &windowed{Energy: e}, &windowed{Energy: Energy{Window: window, Bound: math.Inf(1)}}, e.Bound, e.delay(s.Shift), nil
	}
	return nil, nil, 0, 0, fmt.Errorf("%q is no detector; there are %s, %s and %s", s.Detector, ByCUSUM, ByGLR, ByEnergy)
}

// usualWindow (s) is the energy detector's unless another is asked for.
const usualWindow = 0.01

// phases bounds at how many places of a window a change is thought to begin.
const phases = 32

// delay is the mean number of readings until a lasting change is told: it begins anywhere in a window, which may tell of it already;
// full windows do with the same chance each.
func (e Energy) delay(shift float64) (readings float64) {
	full := float64(e.Window) / e.Detects(float64(e.Window)*shift*shift)
	places := min(e.Window, phases)
	for i := range places {
		filled := (float64(i) + 0.5) / float64(places) * float64(e.Window)
		readings += (filled + 0.5 + (1-e.Detects(filled*shift*shift))*full) / float64(places)
	}
	return readings
}

// twoSided is an upper and a lower CUSUM.
type twoSided struct {
	sums  [2]CUSUM
	since [2]int // readings since the sum last was 0
}

func newTwoSided(k, h, head float64) *twoSided {
	return &twoSided{sums: [2]CUSUM{{K: k, H: h, Head: head}, {K: k, H: h, Head: head}}}
}

func (t *twoSided) add(z float64) (score float64, ago int, up, alarm bool) {
	for side, sign := range [2]float64{1, -1} {
		sum, told := t.sums[side].Add(sign * z)
		t.since[side]++
		if sum == 0 {
			t.since[side] = 0
		}
		if sum > score || told {
			score, ago, up = sum, t.since[side], sign > 0
		}
		if told {
			return score, ago, up, true
		}
	}
	return score, ago, up, false
}

func (t *twoSided) restart() {
	for side := range t.sums {
		t.sums[side].started, t.since[side] = false, 0
	}
}

// likeliest is a GLR.
type likeliest struct{ GLR }

func (l *likeliest) add(z float64) (score float64, ago int, up, alarm bool) {
	score, ago, alarm = l.Add(z)
	return score, ago, l.rose, alarm
}

func (l *likeliest) restart() { l.sums = l.sums[:0] }

// windowed sums energy window by window.
type windowed struct {
	Energy
	held        int
	energy, sum float64
}

func (w *windowed) add(z float64) (score float64, ago int, up, alarm bool) {
	w.held++
	w.energy += z * z
	w.sum += z
	if w.held < w.Window {
		return 0, 0, false, false
	}
	score, ago, up = w.energy, w.held, w.sum > 0
	w.restart()
	return score, ago, up, score >= w.Bound
}

func (w *windowed) restart() { w.held, w.energy, w.sum = 0, 0, 0 }
