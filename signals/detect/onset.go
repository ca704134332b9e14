package detect

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric"
)

// OnsetSettings say how onsets are looked for.
type OnsetSettings struct {
	FalseAlarmsPerHour float64  // allowed where nothing touches; above 0
	Shift              float64  // change that is to be found soonest, in standard deviations of the whitened signal; above 0
	Quiet              float64  // s at the start during which nothing touches; above 0
	HoldOff            float64  // s after an alarm during which no other is told
	Head               bool     // sums start at half the threshold
	Detector           Detector // empty: ByCUSUM
	Window             float64  // s, of ByEnergy; 0: 0.01
}

// Onset is an alarm.
type Onset struct {
	Time  float64 // s, of the reading that alarmed
	Began float64 // s, of the first reading of what led to it
	Up    bool    // whether the signal rose
	Score float64 // of the detector: standard deviations, of ByEnergy variances summed over a window
}

// Onsets are the alarms of a record and what they rest on.
type Onsets struct {
	Alarms    []Onset
	Rate      float64 // readings a second
	Mean      float64 // of the quiet stretch, in the signal's unit
	SD        float64 // of one reading in the quiet stretch
	Carry     float64 // correlation of a reading with the one before, taken out before summing
	Whitened  float64 // standard deviation of what is left of a reading
	Heavy     bool    // whether the quiet stretch strays further than normal readings: false alarms will be more
	Threshold float64 // of the scores
	RunLength float64 // readings between false alarms that the threshold was set for
	Delay     float64 // s, average from a change of Shift to the alarm
	Peak      float64 // largest sum after the quiet stretch, had none been taken back at alarms
}

// FindOnsets standardises a record by its quiet start, takes out what each reading
// carries over from the one before, and runs a detector: an upper and a lower CUSUM, unless another is asked for. Times rise
// strictly in even steps (to within a fifth of a step). Mean and spread of the quiet
// start are taken as known: a short one makes false alarms more than were allowed.
func FindOnsets(time, value []float64, s OnsetSettings) (*Onsets, error) {
	step, err := evenStep(time, value)
	if err != nil {
		return nil, err
	}
	n := len(time)
	if !(s.FalseAlarmsPerHour > 0) || !(s.Shift > 0) || !(s.Quiet > 0) || !(s.HoldOff >= 0) {
		return nil, fmt.Errorf("false alarms an hour (%g), shift (%g) and quiet start (%g s) must be above 0, the hold-off (%g s) not below", s.FalseAlarmsPerHour, s.Shift, s.Quiet, s.HoldOff)
	}
	quiet := sort.SearchFloat64s(time, time[0]+s.Quiet)
	if quiet == n {
		return nil, fmt.Errorf("the record lasts %.4g s, no longer than the %g s at its start in which nothing may touch: what touches in it would count as noise; record longer, or say a shorter quiet start", time[n-1]-time[0], s.Quiet)
	}
	if quiet < 20 {
		return nil, fmt.Errorf("the quiet start of %g s holds %d readings; at least 20 are needed to know the noise", s.Quiet, quiet)
	}
	out := &Onsets{Rate: 1 / step}
	if err := out.learn(value[:quiet]); err != nil {
		return nil, err
	}
	out.RunLength = Readings(s.FalseAlarmsPerHour, out.Rate)
	watcher, endless, threshold, delay, err := s.watch(out.Rate)
	if err != nil {
		return nil, err
	}
	out.Threshold, out.Delay = threshold, delay*step
	silent := math.Inf(-1)
	for i := 1; i < n; i++ {
		z := (value[i] - out.Mean - out.Carry*(value[i-1]-out.Mean)) / out.Whitened
		if score, _, _, _ := endless.add(z); i >= quiet {
			out.Peak = math.Max(out.Peak, score)
		}
		if time[i] < silent {
			continue
		}
		if score, ago, up, alarm := watcher.add(z); alarm {
			out.Alarms = append(out.Alarms, Onset{time[i], time[max(1, i+1-ago)], up, score})
			watcher.restart()
			silent = time[i] + s.HoldOff
		}
	}
	return out, nil
}

// evenStep checks a record and gives its step (s), to which times keep within a fifth.
func evenStep(time, value []float64) (float64, error) {
	n := len(time)
	if n != len(value) || n < 20 {
		return 0, fmt.Errorf("a record needs at least 20 readings with their times; got %d times and %d values", n, len(value))
	}
	step := (time[n-1] - time[0]) / float64(n-1)
	if !(step > 0) {
		return 0, fmt.Errorf("times go from %g s to %g s; they must rise in even steps", time[0], time[n-1])
	}
	for i := range time {
		if math.IsNaN(time[i]+value[i]) || math.IsInf(time[i], 0) || math.IsInf(value[i], 0) {
			return 0, fmt.Errorf("reading %d (%g s, %g) is not finite", i+1, time[i], value[i])
		}
		if i > 0 && math.Abs(time[i]-time[i-1]-step) > 0.2*step {
			return 0, fmt.Errorf("readings %d and %d are %g s apart where the record has a step of %g s; even steps are needed", i, i+1, time[i]-time[i-1], step)
		}
	}
	return step, nil
}

// learn takes mean, spread and carry-over from a quiet stretch.
func (o *Onsets) learn(quiet []float64) error {
	n := float64(len(quiet))
	for _, v := range quiet {
		o.Mean += v / n
	}
	square, carry := 0.0, 0.0
	for i, v := range quiet {
		square += (v - o.Mean) * (v - o.Mean)
		if i > 0 {
			carry += (v - o.Mean) * (quiet[i-1] - o.Mean)
		}
	}
	if square == 0 {
		return fmt.Errorf("the quiet start does not vary at all; its noise can not be told, so no threshold can be set")
	}
	o.SD = math.Sqrt(square / (n - 1))
	o.Carry = carry / square
	left, fourth := 0.0, 0.0
	for i := 1; i < len(quiet); i++ {
		e := quiet[i] - o.Mean - o.Carry*(quiet[i-1]-o.Mean)
		left += e * e
		fourth += e * e * e * e
	}
	o.Whitened = math.Sqrt(left / (n - 3))
	// Kurtosis of normal readings is 3 with a standard error of √(24/n).
	kurtosis := fourth / (n - 1) / math.Pow(left/(n-1), 2)
	o.Heavy = kurtosis > 3+numeric.NormalQuantile(0.999)*math.Sqrt(24/n)
	return nil
}
