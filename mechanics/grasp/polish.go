package grasp

import "math"

const (
	firstRounding, lastRounding = 1e-2, 1e-9 // shares of the reach
	maxNewton                   = 50         // steps per rounding; a handful is usual
	weakestDamping              = 1e-12
)

// polish walks a unit direction down to the nearby smallest reach h of a body of true cones, and returns it with h. The
// kinks of h are rounded (DESIGN.md, eq. 9) ever less; in between, Newton's method on the sphere, damped so that each
// step goes downhill.
func (b *body) polish(u [6]float64) ([6]float64, float64) {
	var at, gradient [6]float64
	var curvature [6][6]float64
	best, h := u, b.reach(&u, &at)
	size := math.Abs(h)
	for s := firstRounding * size; s > lastRounding*size; s /= 4 {
		damping := 1e-3
		rounded := b.rounded(&u, s, &gradient, &curvature)
		for range maxNewton {
			next, ok := u, false
			for !ok && damping < 1e6 {
				var step [6]float64
				if step, ok = downhill(b.d, &u, &gradient, &curvature, damping*size); ok {
					for r := range next {
						next[r] = u[r] + step[r]
					}
					scale(&next, 1/math.Sqrt(dot6(&next, &next)))
					ok = b.rounded(&next, s, nil, nil) < rounded
				}
				if !ok {
					damping = math.Max(10*damping, 1e-6)
				}
			}
			if !ok {
				break
			}
			u = next
			before := rounded
			rounded = b.rounded(&u, s, &gradient, &curvature)
			damping = math.Max(damping/10, weakestDamping)
			if before-rounded < 1e-6*s {
				break
			}
		}
		if reach := b.reach(&u, &at); reach < h {
			best, h = u, reach
		}
	}
	return best, h
}

// rounded is reach with its kinks rounded over s, with gradient and second derivative where asked for.
func (b *body) rounded(u *[6]float64, s float64, gradient *[6]float64, curvature *[6][6]float64) float64 {
	var reach, weight [MaxContacts]float64
	var slope [MaxContacts][6]float64
	largest := math.Inf(-1)
	for i := range b.cones {
		reach[i] = b.cones[i].rounded(u, s, &slope[i])
		largest = math.Max(largest, reach[i])
	}
	value, total := 0.0, 0.0
	for i := range b.cones {
		if b.sharing == Total {
			weight[i] = math.Exp((reach[i] - largest) / s)
			total += weight[i]
			continue
		}
		// s·ln(1 + e^(h/s)), without overflow.
		e := math.Exp(-math.Abs(reach[i]) / s)
		value += math.Max(0, reach[i]) + s*math.Log1p(e)
		weight[i] = 1 / (1 + e)
		if reach[i] < 0 {
			weight[i] = e / (1 + e)
		}
	}
	if b.sharing == Total {
		value = largest + s*math.Log(total)
	}
	if gradient == nil {
		return value
	}
	*gradient, *curvature = [6]float64{}, [6][6]float64{}
	for i := range b.cones {
		bend := 0.0
		if b.sharing == Total {
			weight[i] /= total
			bend = weight[i] / s
		} else {
			bend = weight[i] * (1 - weight[i]) / s
		}
		if weight[i] < 1e-20 {
			continue
		}
		for r := range b.d {
			gradient[r] += weight[i] * slope[i][r]
			for c := range b.d {
				curvature[r][c] += bend * slope[i][r] * slope[i][c]
			}
		}
		b.cones[i].curve(u, weight[i], s, b.d, curvature)
	}
	if b.sharing == Total {
		for r := range b.d {
			for c := range b.d {
				curvature[r][c] -= gradient[r] * gradient[c] / s
			}
		}
	}
	return value
}

// rounded is the reach of a unit normal force with |v| rounded to l = √(|v|²+s²).
func (k *cone) rounded(u *[6]float64, s float64, slope *[6]float64) float64 {
	*slope = k.axis
	v, l := k.components(u, s)
	for j := range k.q {
		for r := range slope {
			slope[r] += v[j] / l * k.spread[j][r]
		}
	}
	return dot6(u, &k.axis) + l
}

// components are v = Sᵀu with the columns S of spread, and √(|v|²+s²).
func (k *cone) components(u *[6]float64, s float64) (v [3]float64, l float64) {
	l = s * s
	for j := range k.q {
		v[j] = dot6(u, &k.spread[j])
		l += v[j] * v[j]
	}
	return v, math.Sqrt(l)
}

// curve adds the second derivative of rounded, (SSᵀ − Sv·(Sv)ᵀ/l²)/l, times a weight.
func (k *cone) curve(u *[6]float64, weight, s float64, d int, m *[6][6]float64) {
	v, l := k.components(u, s)
	var along [6]float64
	for j := range k.q {
		for r := range along {
			along[r] += v[j] * k.spread[j][r]
		}
	}
	for r := range d {
		for c := range d {
			t := -along[r] * along[c] / (l * l)
			for j := range k.q {
				t += k.spread[j][r] * k.spread[j][c]
			}
			m[r][c] += weight * t / l
		}
	}
}

// downhill is the damped Newton step of a function on the unit sphere, square to u; not ok while the second derivative
// with its damping is not positive.
func downhill(d int, u, gradient *[6]float64, curvature *[6][6]float64, damping float64) (step [6]float64, ok bool) {
	out := dot6(u, gradient)
	// P·C·P − out·P + damping, and a 1 along u so that the matrix is regular.
	var cu [6]float64
	ucu := 0.0
	for r := range d {
		for c := range d {
			cu[r] += curvature[r][c] * u[c]
		}
		ucu += u[r] * cu[r]
	}
	var m [6][6]float64
	for r := range d {
		for c := range d {
			m[r][c] = curvature[r][c] - cu[r]*u[c] - u[r]*cu[c] + (ucu+out+1)*u[r]*u[c]
		}
		m[r][r] += damping - out
		step[r] = -(gradient[r] - out*u[r])
	}
	for i := range d {
		for j := range i + 1 {
			t := m[i][j]
			for k := range j {
				t -= m[i][k] * m[j][k]
			}
			if i > j {
				m[i][j] = t / m[j][j]
				continue
			}
			if !(t > 1e-14) {
				return step, false
			}
			m[i][i] = math.Sqrt(t)
		}
	}
	for i := range d {
		for k := range i {
			step[i] -= m[i][k] * step[k]
		}
		step[i] /= m[i][i]
	}
	for i := d - 1; i >= 0; i-- {
		for k := i + 1; k < d; k++ {
			step[i] -= m[k][i] * step[k]
		}
		step[i] /= m[i][i]
	}
	return step, true
}
