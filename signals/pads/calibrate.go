package pads

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"holdfast/numeric"
)

// Press is one reading of the whole array while one pad is pressed, or none.
type Press struct {
	Pad      int       // that is pressed, from 0; negative: none, the array is idle
	Force    float64   // N
	Readings []float64 // one a pad
}

// State says how far a pad can be trusted.
type State uint8

// The states of a pad.
const (
	Good     State = iota
	Dead           // pressing it changes its reading by nothing that stands out of its noise, or by next to nothing
	Untried        // it was never pressed
	Bridged        // it answers a neighbour as if it had been pressed itself: the two can not be told apart
	Clipping       // its reading stays the same at the largest forces: beyond them it can not be read
)

func (s State) String() string {
	return [...]string{"good", "dead", "untried", "bridged", "clipping"}[s]
}

// Response is how one pad answers a force on itself: reading − offset = gain·F + bend·F².
type Response struct {
	Offset float64 // reading when nothing presses
	Noise  float64 // standard deviation of a reading
	Gain   float64 // per N
	Bend   float64 // per N²; 0 where a straight line does as well
	Spread float64 // standard deviation of the presses about the response, N
	Most   float64 // N, the largest force it was pressed with
	State  State
}

// Leak is what one pad passes to another.
type Leak struct {
	From, To int
	Share    float64 // of the change of From's reading that shows in To's
	Low      float64 // 95 % interval of the share
	High     float64
}

// Calibration is what the presses tell of an array.
type Calibration struct {
	Pads  []Response
	Leaks []Leak // those that stand out, by From and then To

	share   *mat.Dense // To × From, with ones on the diagonal
	inverse *mat.Dense
}

const (
	// least is the part of the array's middle gain below which a pad counts as dead.
	least = 0.05
	// bridge is the share that must pass both ways for two pads to count as one.
	bridge = 0.9
	// leakShown is the smallest share that is told and taken back; smaller ones are noise of the press rather than of the pad.
	leakShown = 0.02
	// doubt is the chance of calling a pad alive, a response bent or a leak real where it is not; shared by all pads.
	doubt = 0.01
	// levelled is the change, as a share of the whole, below which the two largest forces count as read the same.
	levelled = 0.005
	// rounding is the share of a sum of squares below which what is left over is not noise.
	rounding = 1e-20
)

// Calibrate works out the responses from the presses. It needs three idle readings and, for each pad that is pressed, three
// presses with at least two different forces. The response is a least-squares line or parabola through the idle reading, the
// parabola where an F-test prefers it; leaks are lines through nothing (common practice, no source).
func Calibrate(presses []Press) (*Calibration, error) {
	n, err := check(presses)
	if err != nil {
		return nil, err
	}
	c := &Calibration{Pads: make([]Response, n)}
	if err := c.rest(presses); err != nil {
		return nil, err
	}
	byPad := make([][]Press, n)
	for _, p := range presses {
		if p.Pad >= 0 {
			byPad[p.Pad] = append(byPad[p.Pad], p)
		}
	}
	for i, list := range byPad {
		if len(list) == 0 {
			c.Pads[i].State = Untried
			continue
		}
		if err := c.respond(i, list, doubt/float64(n)); err != nil {
			return nil, err
		}
	}
	c.judge()
	c.leak(byPad)
	return c, c.invert()
}

func check(presses []Press) (pads int, err error) {
	if len(presses) == 0 {
		return 0, fmt.Errorf("no presses: record the idle array a few times and press each pad a few times")
	}
	pads = len(presses[0].Readings)
	if pads == 0 {
		return 0, fmt.Errorf("press 1 has no readings")
	}
	for i, p := range presses {
		switch {
		case len(p.Readings) != pads:
			return 0, fmt.Errorf("press %d has %d readings, the first has %d", i+1, len(p.Readings), pads)
		case p.Pad >= pads:
			return 0, fmt.Errorf("press %d is on pad %d; the array has %d", i+1, p.Pad+1, pads)
		case p.Pad >= 0 && !(p.Force > 0) || math.IsInf(p.Force, 0):
			return 0, fmt.Errorf("press %d has a force of %g N; it must be above 0", i+1, p.Force)
		}
		for k, r := range p.Readings {
			if math.IsNaN(r) || math.IsInf(r, 0) {
				return 0, fmt.Errorf("press %d, pad %d: the reading is not a finite number", i+1, k+1)
			}
		}
	}
	return pads, nil
}

// rest finds offsets and noise from the idle readings.
func (c *Calibration) rest(presses []Press) error {
	idle := 0
	for _, p := range presses {
		if p.Pad < 0 {
			idle++
			for k, r := range p.Readings {
				c.Pads[k].Offset += r
			}
		}
	}
	if idle < 3 {
		return fmt.Errorf("%d idle readings: noise needs three or more, and a hundred to know it within 7 %%", idle)
	}
	for k := range c.Pads {
		pad := &c.Pads[k]
		pad.Offset /= float64(idle)
		sum := 0.0
		for _, p := range presses {
			if p.Pad < 0 {
				d := p.Readings[k] - pad.Offset
				sum += d * d
			}
		}
		pad.Noise = math.Sqrt(sum / float64(idle-1))
	}
	return nil
}

// respond fits the response of pad i to the presses on it.
func (c *Calibration) respond(i int, presses []Press, doubt float64) error {
	pad := &c.Pads[i]
	smallest := math.Inf(1)
	for _, p := range presses {
		pad.Most, smallest = math.Max(pad.Most, p.Force), math.Min(smallest, p.Force)
	}
	if len(presses) < 3 || smallest == pad.Most {
		return fmt.Errorf("pad %d: %d presses with forces from %g to %g N; three or more with different forces are needed", i+1, len(presses), smallest, pad.Most)
	}
	// Sums for y = gain·F + bend·F² through the idle reading.
	var f2, f3, f4, fy, f2y, yy float64
	for _, p := range presses {
		f, y := p.Force, p.Readings[i]-pad.Offset
		f2 += f * f
		f3 += f * f * f
		f4 += f * f * f * f
		fy += f * y
		f2y += f * f * y
		yy += y * y
	}
	n := float64(len(presses))
	pad.Gain = fy / f2
	line := math.Max(0, yy-pad.Gain*fy)
	rest, freedom := line, n-1
	if det := f2*f4 - f3*f3; n > 3 && det > 1e-12*f2*f4 {
		gain, bend := (fy*f4-f2y*f3)/det, (f2y*f2-fy*f3)/det
		curve := math.Max(0, yy-gain*fy-bend*f2y)
		rising := gain > 0 && gain+2*bend*pad.Most > 0 || gain < 0 && gain+2*bend*pad.Most < 0
		if rising && chanceOfF(1, n-2, (line-curve)/math.Max(curve/(n-2), rounding*yy)) < doubt {
			pad.Gain, pad.Bend, rest, freedom = gain, bend, curve, n-2
		}
	}
	spread := math.Sqrt(rest / freedom)
	// Against nothing: the pad does not answer.
	if yy == 0 || !(chanceOfF(n-freedom, freedom, (yy-rest)/(n-freedom)/math.Max(rest/freedom, rounding*yy)) < doubt) {
		pad.State = Dead
	}
	pad.Spread = spread / math.Abs(pad.Gain+pad.Bend*pad.Most)
	if levelledOff(i, presses, pad.Offset) {
		pad.State = Clipping
	}
	return nil
}

// chanceOfF is the chance that Fisher's ratio with these degrees of freedom exceeds f.
func chanceOfF(upper, lower, f float64) float64 {
	return numeric.BetaCDF(lower/2, upper/2, lower/(lower+upper*math.Max(0, f)))
}

// levelledOff says that the largest forces read the same although they differ by a fifth or more, while smaller ones do not.
func levelledOff(i int, presses []Press, offset float64) bool {
	sorted := slices.Clone(presses)
	slices.SortStableFunc(sorted, func(a, b Press) int {
		switch {
		case a.Force < b.Force:
			return -1
		case a.Force > b.Force:
			return 1
		}
		return 0
	})
	top := sorted[len(sorted)-1]
	whole := top.Readings[i] - offset
	for k := len(sorted) - 2; k >= 0; k-- {
		p := sorted[k]
		if p.Force > 0.8*top.Force {
			continue
		}
		return whole != 0 && math.Abs(top.Readings[i]-p.Readings[i]) < levelled*math.Abs(whole) && sorted[0].Force < p.Force
	}
	return false
}

// judge calls pads dead that answer with next to nothing beside the others.
func (c *Calibration) judge() {
	var gains []float64
	for i := range c.Pads {
		if c.Pads[i].State == Good {
			gains = append(gains, math.Abs(c.Pads[i].Gain))
		}
	}
	if len(gains) == 0 {
		return
	}
	slices.Sort(gains)
	middle := gains[len(gains)/2]
	for i := range c.Pads {
		if p := &c.Pads[i]; p.State == Good && math.Abs(p.Gain) < least*middle {
			p.State = Dead
		}
	}
}

// reads says that a pad's own response is known.
func (r *Response) reads() bool { return r.State == Good || r.State == Clipping || r.State == Bridged }

// leak finds what each pressed pad passes to the others.
func (c *Calibration) leak(byPad [][]Press) {
	n := len(c.Pads)
	c.share = mat.NewDense(n, n, nil)
	pairs := float64(max(1, n*(n-1)))
	for from := range n {
		c.share.Set(from, from, 1)
		if !c.Pads[from].reads() {
			continue
		}
		for to := range n {
			if to == from {
				continue
			}
			var xx, xy, yy float64
			for _, p := range byPad[from] {
				x, y := p.Readings[from]-c.Pads[from].Offset, p.Readings[to]-c.Pads[to].Offset
				xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
			}
			freedom := float64(len(byPad[from]) - 1)
			share := xy / xx
			scatter := math.Max(math.Max(0, yy-share*xy)/freedom, c.Pads[to].Noise*c.Pads[to].Noise)
			t := distuv.StudentsT{Sigma: 1, Nu: freedom}
			se := math.Sqrt(scatter / xx)
			if se > 0 && 2*t.Survival(math.Abs(share)/se) > doubt/pairs || math.Abs(share) < leakShown {
				continue
			}
			half := t.Quantile(0.975) * se
			c.share.Set(to, from, share)
			c.Leaks = append(c.Leaks, Leak{From: from, To: to, Share: share, Low: share - half, High: share + half})
		}
	}
	for _, l := range c.Leaks {
		if math.Abs(l.Share) > bridge && math.Abs(c.share.At(l.From, l.To)) > bridge {
			c.Pads[l.From].State, c.Pads[l.To].State = Bridged, Bridged
		}
	}
	// What two bridged pads read is one number: taking it apart would only blow up the noise.
	for _, l := range c.Leaks {
		if c.Pads[l.From].State == Bridged && c.Pads[l.To].State == Bridged {
			c.share.Set(l.To, l.From, 0)
		}
	}
	// A dead pad tells nothing, whatever reaches it.
	for i := range c.Pads {
		if !c.Pads[i].reads() {
			for k := range n {
				if k != i {
					c.share.Set(i, k, 0)
				}
			}
		}
	}
}

func (c *Calibration) invert() error {
	var inverse mat.Dense
	if err := inverse.Inverse(c.share); err != nil {
		return fmt.Errorf("the pads pass so much to each other that their forces can not be told apart: %w", err)
	}
	c.inverse = &inverse
	return nil
}
