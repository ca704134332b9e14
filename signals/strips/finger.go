package strips

import (
	"fmt"
	"math"
	"slices"

	"holdfast/signals/calibrate"
)

// Place is where a strip lies along the finger.
type Place struct {
	Strip    int     // from 0; −1: a rigid length
	From, To float64 // m along the finger from its base
}

// Calibration is one strip's readings at curvatures that were set.
type Calibration struct {
	Curvatures []float64 // 1/m
	Signals    []float64
}

// Fitting says by which curve strips are read backwards.
type Fitting struct {
	Monotone bool // else a polynomial
	Degree   int  // of the polynomial
}

// Finger is a finger with calibrated strips.
type Finger struct {
	Length float64 // m
	Strips []*calibrate.Back

	stretches []stretch
}

// stretch is a length whose curvature is a sum of strips' ones.
type stretch struct {
	length float64
	of     []int     // strips from 0; none: rigid
	shares []float64 // of each
}

// NewFinger fits every strip's curve and lays the strips along the finger. A length that no strip covers bends as the mean of the
// strips on both sides, or as the one that it has; a rigid length as none.
func NewFinger(calibrations []Calibration, places []Place, how Fitting) (*Finger, error) {
	f := &Finger{}
	for i, c := range calibrations {
		back, err := how.fit(c)
		if err != nil {
			return nil, fmt.Errorf("strip %d: %w", i+1, err)
		}
		f.Strips = append(f.Strips, back)
	}
	sorted := slices.Clone(places)
	slices.SortStableFunc(sorted, func(a, b Place) int {
		if a.From < b.From {
			return -1
		}
		return 1
	})
	seen := make([]bool, len(calibrations))
	at, last := 0.0, []int(nil)
	for _, p := range sorted {
		switch {
		case p.Strip >= len(calibrations):
			return nil, fmt.Errorf("strip %d has a place and no calibration", p.Strip+1)
		case !(p.To > p.From) || p.From < 0:
			return nil, fmt.Errorf("the length from %g to %g mm must begin at 0 or beyond and end beyond its beginning", 1e3*p.From, 1e3*p.To)
		case p.From < at-1e-9:
			return nil, fmt.Errorf("the length from %g to %g mm begins before the one before it ends, at %g mm", 1e3*p.From, 1e3*p.To, 1e3*at)
		case p.Strip >= 0 && seen[p.Strip]:
			return nil, fmt.Errorf("strip %d has two places", p.Strip+1)
		}
		own := []int(nil)
		if p.Strip >= 0 {
			own, seen[p.Strip] = []int{p.Strip}, true
		}
		if gap := p.From - at; gap > 1e-9 {
			f.lay(gap, slices.Concat(last, own))
		}
		f.lay(p.To-p.From, own)
		at, last = p.To, own
	}
	for i, there := range seen {
		if !there {
			return nil, fmt.Errorf("strip %d has a calibration and no place", i+1)
		}
	}
	if len(calibrations) == 0 {
		return nil, fmt.Errorf("no strip has a calibration")
	}
	f.Length = at
	return f, nil
}

func (f *Finger) lay(length float64, of []int) {
	s := stretch{length: length, of: of}
	for range of {
		s.shares = append(s.shares, 1/float64(len(of)))
	}
	f.stretches = append(f.stretches, s)
}

func (h Fitting) fit(c Calibration) (*calibrate.Back, error) {
	if h.Monotone {
		m, err := calibrate.FitMonotone(c.Curvatures, c.Signals)
		if err != nil {
			return nil, err
		}
		return m.Back()
	}
	p, err := calibrate.FitPolynomial(c.Curvatures, c.Signals, nil, h.Degree)
	if err != nil {
		return nil, err
	}
	return p.Back()
}

// Bent is a finger's shape at one moment.
type Bent struct {
	Curvatures []float64 // 1/m, by strip
	SDs        []float64 // 1/m, their standard uncertainties by the scatter of readings
	Beyond     []int     // strips whose signal lies beyond their calibration, from 0
	Poses      []calibrate.Pose
	// X, Z and Across are standard uncertainties (m) of each pose along x, along z and across the finger, Turn (rad) that of its
	// turn; to first order, strips taken as independent.
	X, Z, Across, Turn []float64
}

// Shape follows the finger for one frame of signals; pointsEach ≥ 1 poses of every stretch.
func (f *Finger) Shape(signals []float64, pointsEach int) (*Bent, error) {
	if len(signals) != len(f.Strips) {
		return nil, fmt.Errorf("%d signals for a finger with %d strips", len(signals), len(f.Strips))
	}
	b := &Bent{}
	for i, v := range signals {
		curvature, sd, beyond := f.Strips[i].Read(v)
		if math.IsNaN(curvature) || math.Abs(curvature) > mostCurvature {
			return nil, fmt.Errorf("strip %d: the signal %g is far beyond what was calibrated", i+1, v)
		}
		b.Curvatures, b.SDs = append(b.Curvatures, curvature), append(b.SDs, sd)
		if beyond {
			b.Beyond = append(b.Beyond, i)
		}
	}
	list := make([]calibrate.Stretch, len(f.stretches))
	for i, s := range f.stretches {
		list[i].Length = s.length
		for k, of := range s.of {
			list[i].Curvature += s.shares[k] * b.Curvatures[of]
		}
	}
	var err error
	if b.Poses, err = calibrate.Shape(list, pointsEach); err != nil {
		return nil, err
	}
	slopes, err := calibrate.ShapeSlopes(list, pointsEach)
	if err != nil {
		return nil, err
	}
	f.spread(b, slopes)
	return b, nil
}

// mostCurvature (1/m) is more than any finger has.
const mostCurvature = 1e5

// spread carries the curvatures' uncertainties, and those of the lengths that no strip covers, to the poses.
func (f *Finger) spread(b *Bent, slopes [][]calibrate.PoseSlope) {
	for k, row := range slopes {
		byStrip := make([]calibrate.PoseSlope, len(f.Strips))
		sin, cos := math.Sincos(b.Poses[k].Turn)
		var x, z, across, turn float64
		add := func(g calibrate.PoseSlope, sd float64) {
			x, z, turn = math.Hypot(x, g.X*sd), math.Hypot(z, g.Z*sd), math.Hypot(turn, g.Turn*sd)
			across = math.Hypot(across, (g.X*cos-g.Z*sin)*sd)
		}
		for i, g := range row {
			s := &f.stretches[i]
			for j, of := range s.of {
				byStrip[of].X += s.shares[j] * g.X
				byStrip[of].Z += s.shares[j] * g.Z
				byStrip[of].Turn += s.shares[j] * g.Turn
			}
			if len(s.of) == 2 {
				// Anything between the two curvatures is as likely: half their distance by √3.
				add(g, math.Abs(b.Curvatures[s.of[0]]-b.Curvatures[s.of[1]])/2/math.Sqrt(3))
			}
		}
		for i, g := range byStrip {
			add(g, b.SDs[i])
		}
		b.X, b.Z, b.Across, b.Turn = append(b.X, x), append(b.Z, z), append(b.Across, across), append(b.Turn, turn)
	}
}
