package grasp

import "math"

// scaling is the symmetric scaling of Y. Nesterov, M. Todd of one block: W·s = W⁻¹·x.
type scaling struct {
	beta float64
	w    [4]float64
}

// minor is v₀² − |v₁|², by factors so that little is lost near the cone's surface.
func minor(v []float64) float64 {
	r := 0.0
	for _, t := range v[1:] {
		r += t * t
	}
	r = math.Sqrt(r)
	return (v[0] - r) * (v[0] + r)
}

// scale computes the scalings and λ = W·s; false when x or s has left the cones.
func (p *program) scale(scales []scaling, x, s, lambda []float64) bool {
	o := 0
	for j, size := range p.blocks {
		xs, ss := x[o:o+size], s[o:o+size]
		k := &scales[j]
		mx, ms := minor(xs), minor(ss)
		if !(mx > 0) || !(ms > 0) || !(xs[0] > 0) || !(ss[0] > 0) {
			return false
		}
		k.beta = math.Sqrt(math.Sqrt(mx / ms))
		rx, rs := 1/math.Sqrt(mx), 1/math.Sqrt(ms)
		inner := 1.0
		for i := range xs {
			inner += xs[i] * rx * ss[i] * rs
		}
		g := 1 / math.Sqrt(2*inner)
		k.w[0] = g * (xs[0]*rx + ss[0]*rs)
		for i := 1; i < size; i++ {
			k.w[i] = g * (xs[i]*rx - ss[i]*rs)
		}
		o += size
	}
	p.apply(scales, s, lambda)
	return true
}

// apply writes W·v.
func (p *program) apply(scales []scaling, v, to []float64) {
	o := 0
	for j, size := range p.blocks {
		k := &scales[j]
		along := 0.0
		for i := 1; i < size; i++ {
			along += k.w[i] * v[o+i]
		}
		v0 := v[o]
		to[o] = k.beta * (k.w[0]*v0 + along)
		for i := 1; i < size; i++ {
			to[o+i] = k.beta * (v[o+i] + k.w[i]*(v0+along/(1+k.w[0])))
		}
		o += size
	}
}

// unapply writes W⁻¹·v.
func (p *program) unapply(scales []scaling, v, to []float64) {
	o := 0
	for j, size := range p.blocks {
		k := &scales[j]
		along := 0.0
		for i := 1; i < size; i++ {
			along += k.w[i] * v[o+i]
		}
		v0 := v[o]
		to[o] = (k.w[0]*v0 - along) / k.beta
		for i := 1; i < size; i++ {
			to[o+i] = (v[o+i] + k.w[i]*(along/(1+k.w[0])-v0)) / k.beta
		}
		o += size
	}
}

// square writes W²·v; v and to may be the same.
func (p *program) square(scales []scaling, v, to []float64) {
	o := 0
	for j, size := range p.blocks {
		k := &scales[j]
		along := 0.0
		for i := range size {
			along += k.w[i] * v[o+i]
		}
		bb := k.beta * k.beta
		to[o] = bb * (2*k.w[0]*along - v[o])
		for i := 1; i < size; i++ {
			to[o+i] = bb * (2*k.w[i]*along + v[o+i])
		}
		o += size
	}
}

// weigh writes M = A·W²·Aᵀ, through W·Aᵀ.
func (p *program) weigh(scales []scaling, wa, mat []float64) {
	m := p.rows
	o := 0
	for j, size := range p.blocks {
		k := &scales[j]
		for i := range m {
			along := 0.0
			for l := 1; l < size; l++ {
				along += k.w[l] * p.a[(o+l)*m+i]
			}
			v0 := p.a[o*m+i]
			wa[o*m+i] = k.beta * (k.w[0]*v0 + along)
			for l := 1; l < size; l++ {
				wa[(o+l)*m+i] = k.beta * (p.a[(o+l)*m+i] + k.w[l]*(v0+along/(1+k.w[0])))
			}
		}
		o += size
	}
	clear(mat)
	for j := range len(p.c) {
		col := wa[j*m : j*m+m]
		for i, v := range col {
			if v == 0 {
				continue
			}
			row := mat[i*m : i*m+i+1]
			for l := range row {
				row[l] += v * col[l]
			}
		}
	}
}
