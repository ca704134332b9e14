package report

import "math"

// field is a square grid of values over the square from −1 to 1, row by row from the top, at the centres of n × n
// pixels.
type field struct {
	n int
	v []float64
}

func (f *field) at(row, col int) float64 { return f.v[row*f.n+col] }

// centre returns the coordinate (x to the right, or −y upwards) of the centre of column or row i.
func (f *field) centre(i float64) float64 { return (2*i+1)/float64(f.n) - 1 }

// sample returns the value at (x, y), y upwards, by bilinear interpolation; beyond the outer centres the nearest.
func (f *field) sample(x, y float64) float64 {
	place := func(c float64) (int, float64) {
		g := min(max((c+1)*float64(f.n)/2-0.5, 0), float64(f.n-1))
		i := min(int(g), max(f.n-2, 0))
		return i, g - float64(i)
	}
	c, u := place(x)
	r, w := place(-y)
	c1, r1 := min(c+1, f.n-1), min(r+1, f.n-1)
	return (1-w)*((1-u)*f.at(r, c)+u*f.at(r, c1)) + w*((1-u)*f.at(r1, c)+u*f.at(r1, c1))
}

// filled returns a copy whose values outside the disc of radius 1 (NaN) are those of the nearest place inside along
// the radius, so that contours run on to the disc's edge.
func (f *field) filled() *field {
	out := &field{n: f.n, v: make([]float64, len(f.v))}
	for r := range f.n {
		for c := range f.n {
			v := f.at(r, c)
			for scale := 1.0; math.IsNaN(v) && scale > 0; scale -= 0.5 / float64(f.n) {
				rr := int(math.Round(float64(f.n-1)/2 + (float64(r)-float64(f.n-1)/2)*scale))
				cc := int(math.Round(float64(f.n-1)/2 + (float64(c)-float64(f.n-1)/2)*scale))
				v = f.at(rr, cc)
			}
			if math.IsNaN(v) {
				v = 0
			}
			out.v[r*f.n+c] = v
		}
	}
	return out
}

// above returns the closed rings that bound the region where the field is at least level, by marching squares with
// linear interpolation (W. E. Lorensen and H. E. Cline, "Marching cubes", Computer Graphics 21 (1987) 163, in two
// dimensions; from memory). The region is closed a little outside the square. Coordinates are x to the right and
// y upwards.
func (f *field) above(level float64) [][]Point {
	n := f.n
	// The grid with one ring of low values around it.
	value := func(r, c int) float64 {
		if r < 0 || c < 0 || r >= n || c >= n {
			return math.Inf(-1)
		}
		return f.at(r, c) - level
	}
	// An edge is named by its upper or left node and whether it goes down.
	type edge struct {
		r, c int
		down bool
	}
	position := func(e edge) Point {
		a, b := value(e.r, e.c), 0.0
		if e.down {
			b = value(e.r+1, e.c)
		} else {
			b = value(e.r, e.c+1)
		}
		t := 0.5
		if !math.IsInf(a, 0) && !math.IsInf(b, 0) {
			t = a / (a - b)
		}
		if e.down {
			return Point{f.centre(float64(e.c)), -f.centre(float64(e.r) + t)}
		}
		return Point{f.centre(float64(e.c) + t), -f.centre(float64(e.r))}
	}
	next := map[edge]edge{}
	var order []edge // in which segments were found, so that the same field gives the same rings
	add := func(from, to edge) {
		next[from] = to
		order = append(order, from)
	}
	for r := -1; r < n; r++ {
		for c := -1; c < n; c++ {
			tl, tr, bl, br := value(r, c) >= 0, value(r, c+1) >= 0, value(r+1, c) >= 0, value(r+1, c+1) >= 0
			top, left := edge{r, c, false}, edge{r, c, true}
			bottom, right := edge{r + 1, c, false}, edge{r, c + 1, true}
			code := 0
			for i, in := range []bool{tl, tr, br, bl} {
				if in {
					code |= 1 << i
				}
			}
			// The region lies to the right of each segment as drawn, y downwards.
			switch code {
			case 1:
				add(left, top)
			case 2:
				add(top, right)
			case 3:
				add(left, right)
			case 4:
				add(right, bottom)
			case 6:
				add(top, bottom)
			case 7:
				add(left, bottom)
			case 8:
				add(bottom, left)
			case 9:
				add(bottom, top)
			case 11:
				add(bottom, right)
			case 12:
				add(right, left)
			case 13:
				add(right, top)
			case 14:
				add(top, left)
			case 5, 10:
				middle := value(r, c) + value(r, c+1) + value(r+1, c) + value(r+1, c+1)
				joined := middle >= 0
				switch {
				case code == 5 && joined:
					add(right, top)
					add(left, bottom)
				case code == 5:
					add(left, top)
					add(right, bottom)
				case joined:
					add(top, left)
					add(bottom, right)
				default:
					add(top, right)
					add(bottom, left)
				}
			}
		}
	}
	var rings [][]Point
	for _, start := range order {
		if _, open := next[start]; !open {
			continue
		}
		var ring []Point
		for e := start; ; {
			to, open := next[e]
			if !open {
				break
			}
			ring = append(ring, position(e))
			delete(next, e)
			e = to
		}
		if len(ring) > 2 {
			rings = append(rings, ring)
		}
	}
	return rings
}
