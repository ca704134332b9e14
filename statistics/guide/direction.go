package guide

import "math"

// plane is a group's straight lines against command and direction, fitted together.
type plane struct {
	base  frame
	along [outputs][]float64 // the moves along the frame's axes
}

// direct fits a group's moves against command and direction, and notes the directions in its entry. Where a direction is not known
// it counts as the mean.
func (s *sum) direct(group []Example, a *Advice) {
	d := &Slopes{Low: [2]float64{1, 1}, High: [2]float64{-1, -1}}
	known := 0.0
	for _, e := range group {
		if e.Direction == [2]float64{} {
			continue
		}
		known++
		for k, x := range e.Direction {
			d.At[k] += x
			d.Low[k], d.High[k] = math.Min(d.Low[k], x), math.Max(d.High[k], x)
		}
	}
	if known == 0 {
		d.Low, d.High = [2]float64{}, [2]float64{}
	}
	columns := [][]float64{make([]float64, len(group)), make([]float64, len(group)), make([]float64, len(group))}
	for k := range d.At {
		// Rounding may carry a mean past what it is the mean of.
		d.At[k] = math.Min(math.Max(d.At[k]/math.Max(known, 1), d.Low[k]), d.High[k])
	}
	for i, e := range group {
		if s.sloped() > 0 {
			columns[0][i] = e.Command
		}
		for k := range d.At {
			if e.Direction != [2]float64{} {
				columns[k+1][i] = e.Direction[k] - d.At[k]
			}
		}
	}
	a.ByDirection = d
	s.bent = &plane{base: orthogonal(columns)}
	for out := range outputs {
		y := make([]float64, len(group))
		for i, e := range group {
			y[i] = e.Move[out] - s.mean[out]
		}
		for _, b := range s.bent.base.basis {
			s.bent.along[out] = append(s.bent.along[out], dot(b, y))
		}
	}
}

// explained is what the group's lines take away of the squares.
func (s *sum) explained(out int) float64 {
	if s.bent == nil {
		return s.slope(out) * s.cross[out]
	}
	return dot(s.bent.along[out], s.bent.along[out])
}

// lines is how many slopes the group has.
func (s *sum) lines() float64 {
	if s.bent == nil {
		return s.sloped()
	}
	return float64(len(s.bent.base.basis))
}

// slopes fills in an entry's slopes, drawn towards none.
func (s *sum) slopes(out int, variance float64, a *Advice) {
	draw := 1.0
	if variance > 0 {
		draw = math.Max(0, 1-s.lines()*variance/math.Max(s.explained(out), math.SmallestNonzeroFloat64))
	}
	slopes := s.bent.base.solve(s.bent.along[out])
	a.PerCommand[out] = draw * slopes[0]
	for k := range a.ByDirection.Per {
		a.ByDirection.Per[k][out] = draw * slopes[k+1]
	}
}

// frame are columns about their means, at right angles and of length 1, without those that the ones before make up.
type frame struct {
	basis   [][]float64
	kept    []int       // which column each came from
	within  [][]float64 // [i][j]: how far kept column j goes along basis i
	columns int
}

// orthogonal makes the frame of columns.
func orthogonal(columns [][]float64) (f frame) {
	const little = 1e-9
	f.columns = len(columns)
	for j, column := range columns {
		v, size := append([]float64(nil), column...), 0.0
		for _, x := range v {
			size = math.Max(size, math.Abs(x))
		}
		v = centred(v)
		ways := make([]float64, len(f.basis))
		for range 2 { // twice, so that rounding leaves nothing behind
			for i, b := range f.basis {
				along := dot(v, b)
				ways[i] += along
				for at := range v {
					v[at] -= along * b[at]
				}
			}
		}
		norm := math.Sqrt(dot(v, v))
		if norm <= little*size*math.Sqrt(float64(len(v))) {
			continue
		}
		for at := range v {
			v[at] /= norm
		}
		for i := range f.basis {
			f.within[i] = append(f.within[i], ways[i])
		}
		f.within = append(f.within, append(make([]float64, len(f.kept)), norm))
		f.basis, f.kept = append(f.basis, v), append(f.kept, j)
	}
	return f
}

// solve turns ways along the basis into slopes against the columns; those left out have none.
func (f *frame) solve(along []float64) []float64 {
	slopes := make([]float64, f.columns)
	for i := len(f.basis) - 1; i >= 0; i-- {
		x := along[i]
		for j := i + 1; j < len(f.kept); j++ {
			x -= f.within[i][j] * slopes[f.kept[j]]
		}
		slopes[f.kept[i]] = x / f.within[i][i]
	}
	return slopes
}
