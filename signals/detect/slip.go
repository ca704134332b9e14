package detect

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/signals"
)

// SlipSettings say how slips are looked for.
type SlipSettings struct {
	FalseAlarmsPerHour float64 // allowed while the item is held still; above 0
	Shift              float64 // rise of a window's score that is to be found soonest, in standard deviations; above 0
	LowHz, HighHz      float64 // band in which slipping shakes, 40 to 400 Hz as a rule (common practice, no source); HighHz is lowered to 0.45 of the rate
	Window             float64 // s, over which power is taken; four readings or more
	Least              float64 // s that a slip lasts: shorter bursts, as of a knock, do not alarm by themselves
	Ring               float64 // s in which the power of a knock that rings out falls to a tenth, or sooner
	Quiet              float64 // s at the start during which the item is held still; above 0
	HoldOff            float64 // s of calm that end a slip
}

// Slip is one that was told.
type Slip struct {
	Began   float64 // s, start of the first window of the run of sums that led to the alarm
	Time    float64 // s, of the alarm
	Ended   float64 // s; the record's end where it does not end before
	Score   float64 // of the sum at the alarm, in standard deviations
	Loudest float64 // dB, most power of a window over that of the quiet start
}

// Slips are what a record shows, and what that rests on.
type Slips struct {
	Found     []Slip
	Bursts    int     // loud windows, beyond the bound of one in a million, outside of slips: knocks and contacts
	Rate      float64 // readings a second
	Windows   float64 // windows a second
	Power     float64 // of the quiet start in the band, its upper 95 % limit, in squared units of the signal
	Freedom   float64 // degrees of freedom that the power of a window has
	Carry     float64 // correlation of a window's score with the one before, taken out before summing
	Heavy     bool    // whether the quiet start has louder windows than noise would have: false alarms will be more
	Threshold float64 // of the sums, in standard deviations
	Cap       float64 // most that one window counts
	RunLength float64 // windows between false alarms that the threshold was set for
	Peak      float64 // largest sum of the record, had none been taken back at alarms
}

// mostScore is how large the score of one window can be: beyond it the chance is not told apart from none.
const mostScore = 8.0

// FindSlips tells slips by the shaking that they make: the power in a band, window by window, is brought to a normal score by the
// chi-square distribution that the quiet start shows, what a score carries over from the one before is taken out, and an upper CUSUM
// runs over the scores. One window counts no more than lets the sum alarm after Least, and what a loud window leaves behind while it
// rings out is taken off the next, so a knock does not pass for a slip; both make chance alarms fewer than were allowed, not more. A knock
// that rings for longer is told as a slip, and so is a hand that rubs over anything else: vibration alone does not tell them apart.
// Times rise in even steps.
func FindSlips(time, value []float64, s SlipSettings) (*Slips, error) {
	step, err := evenStep(time, value)
	if err != nil {
		return nil, err
	}
	if !(s.FalseAlarmsPerHour > 0) || !(s.Shift > 0) || !(s.Quiet > 0) || !(s.HoldOff >= 0) || !(s.Window > 0) || !(s.Least >= s.Window) || !(s.Ring >= 0) {
		return nil, fmt.Errorf("false alarms an hour (%g), shift (%g), quiet start (%g s) and window (%g s) must be above 0, the hold-off (%g s) not below, ringing (%g s) neither, and a slip (%g s) no shorter than a window", s.FalseAlarmsPerHour, s.Shift, s.Quiet, s.Window, s.HoldOff, s.Ring, s.Least)
	}
	out := &Slips{Rate: 1 / step}
	high := math.Min(s.HighHz, 0.45*out.Rate)
	if !(s.LowHz > 0 && s.LowHz < high) {
		return nil, fmt.Errorf("a band from %g to %g Hz can not be heard at %.4g readings a second; record faster, or lower it", s.LowHz, s.HighHz, out.Rate)
	}
	length := int(math.Round(s.Window * out.Rate))
	if length < 4 {
		return nil, fmt.Errorf("a window of %g s holds %d readings at %.4g a second; at least 4 are needed", s.Window, length, out.Rate)
	}
	band, err := signals.BandPass(2, s.LowHz, high, out.Rate)
	if err != nil {
		return nil, err
	}
	heard := band.Apply(value)
	out.Windows = out.Rate / float64(length)
	// The filter rings from its start: three periods of its lowest tone are passed over.
	first := int(math.Ceil(3 / s.LowHz * out.Windows))
	powers := make([]float64, len(heard)/length)
	for j := range powers {
		for _, v := range heard[j*length : (j+1)*length] {
			powers[j] += v * v / float64(length)
		}
	}
	quiet := int(s.Quiet * out.Windows)
	if quiet > len(powers) || quiet-first < 20 {
		return nil, fmt.Errorf("the quiet start of %g s holds %d windows after the filter has settled; at least 20 are needed to know the noise", s.Quiet, max(0, min(quiet, len(powers))-first))
	}
	if err := out.learn(powers[first:quiet], whiteFreedom(band, length)); err != nil {
		return nil, err
	}
	k := s.Shift / 2
	out.RunLength = Readings(s.FalseAlarmsPerHour, out.Windows)
	if out.Threshold, err = Threshold(k, out.RunLength, false); err != nil {
		return nil, err
	}
	out.Cap = k + out.Threshold/math.Ceil(s.Least*out.Windows)
	at := func(j int) float64 { return time[0] + float64(j*length)*step }
	left := 0.0 // of a loud window's power, in the next
	if s.Ring > 0 {
		left = math.Pow(10, -1/(s.Ring*out.Windows))
	}
	out.sum(powers, first, k, left, int(math.Ceil(s.HoldOff*out.Windows)), at)
	return out, nil
}

// whiteFreedom gives the degrees of freedom that the power of a window of so many readings has when noise that is white fills the band:
// two over its relative variance, by the squared correlations of the filtered readings.
func whiteFreedom(band signals.Cascade, length int) float64 {
	impulse := make([]float64, 16*length+512)
	impulse[0] = 1
	h := band.Apply(impulse)
	correlation := func(lag int) (sum float64) {
		for i := range len(h) - lag {
			sum += h[i] * h[i+lag]
		}
		return sum
	}
	all, total := correlation(0), 0.0
	for lag := range length {
		r := correlation(lag) / all
		weight := 2 * float64(length-lag)
		if lag == 0 {
			weight = float64(length)
		}
		total += weight * r * r
	}
	return float64(length*length) / total
}

// learn takes power, freedom and carry-over from quiet windows. Their freedom is at most that of white noise, and their power is taken at
// its upper 95 % limit: a short quiet start then makes the detector slower, not more often wrong.
func (o *Slips) learn(quiet []float64, white float64) error {
	n := float64(len(quiet))
	for _, p := range quiet {
		o.Power += p / n
	}
	spread := 0.0
	for _, p := range quiet {
		spread += (p - o.Power) * (p - o.Power) / (n - 1)
	}
	if !(spread > 0) {
		return fmt.Errorf("the quiet start does not shake at all in the band; its noise can not be told, so no threshold can be set")
	}
	// Mean and variance of a chi-square times a factor (F. E. Satterthwaite, Biometrics Bulletin 2, 1946).
	o.Freedom = math.Min(2*o.Power*o.Power/spread, white)
	o.Power *= n * o.Freedom / numeric.ChiSquareQuantile(0.05, n*o.Freedom)
	top, square, carry, before := 0.0, 0.0, 0.0, 0.0
	for i, p := range quiet {
		z := o.score(p)
		top = math.Max(top, z)
		if i > 0 {
			carry += z * before
			square += before * before
		}
		before = z
	}
	o.Carry = math.Max(0, math.Min(carry/square, 0.95))
	o.Heavy = numeric.NormalSurvival(top)*n < 0.001
	return nil
}

// score brings a window's power to the normal scale.
func (o *Slips) score(power float64) float64 {
	x := o.Freedom * power / o.Power
	if upper := numeric.ChiSquareSurvival(x, o.Freedom); upper < 0.5 {
		return math.Min(-numeric.NormalQuantile(math.Max(upper, 1e-300)), mostScore)
	}
	return math.Max(numeric.NormalQuantile(math.Max(numeric.ChiSquareCDF(x, o.Freedom), 1e-300)), -mostScore)
}

// sum runs the CUSUM over the windows from first on. calm windows below the score that noise exceeds once in a hundred end a slip.
func (o *Slips) sum(powers []float64, first int, k, left float64, calm int, at func(window int) float64) {
	scale := math.Sqrt(1 - o.Carry*o.Carry)
	limit, burst := numeric.NormalQuantile(0.99), numeric.NormalQuantile(1-1e-6)
	page := CUSUM{K: k, H: o.Threshold}
	began, still, running := first, 0, 0.0
	loud := 0 // windows since began
	var now *Slip
	before := 0.0
	for j := first; j < len(powers); j++ {
		power := powers[j]
		if j > first && o.score(powers[j-1]) > burst {
			power = math.Max(math.Min(power, o.Power), power-left*(powers[j-1]-o.Power))
		}
		z := o.score(power)
		fresh := math.Min((z-o.Carry*before)/scale, o.Cap)
		before = z
		running = math.Max(0, running+fresh-k)
		o.Peak = math.Max(o.Peak, running)
		if now != nil {
			now.Loudest = math.Max(now.Loudest, 10*math.Log10(powers[j]/o.Power))
			if still++; z > limit {
				still, now.Ended = 0, at(j+1)
			}
			if still >= calm {
				o.Found, now, began = append(o.Found, *now), nil, j+1
			}
			continue
		}
		if z > burst {
			loud++
		}
		sum, alarm := page.Add(fresh)
		if sum == 0 {
			o.Bursts += loud
			began, loud = j+1, 0
		}
		if !alarm {
			continue
		}
		now = &Slip{Began: at(began), Time: at(j + 1), Ended: at(j + 1), Score: sum}
		for w := began; w <= j; w++ {
			now.Loudest = math.Max(now.Loudest, 10*math.Log10(powers[w]/o.Power))
		}
		still, loud = 0, 0
	}
	o.Bursts += loud
	if now != nil {
		o.Found = append(o.Found, *now)
	}
}
