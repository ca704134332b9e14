package orient

// Moments writes Σ_i w_i φ(R_i) for every function of h into dst.
func (t *Torus) Moments(dst []float64, h *Harmonics, p *TorusPoints, w []float64) error {
	if err := t.check(h); err != nil {
		return err
	}
	t.spread(p, w)
	t.gather()
	t.contract(dst, h)
	return nil
}

// contract sums the gathered frequencies into moments.
func (t *Torus) contract(dst []float64, h *Harmonics) {
	kTop, nTop := t.b.top, t.c.top
	sheet, wide := t.sheet(), 2*(nTop+1)
	for i, q := range h.pairs {
		m, n := q.m/t.a.step, abs(q.n)/t.c.step
		kind := abs(q.m-q.n) & 1
		c := t.outer[(2*m)*sheet+kind*(kTop+1)*wide+2*n:]
		s := t.outer[(2*m+1)*sheet+kind*(kTop+1)*wide+2*n:]
		var cosine, sine float64
		if q.n >= 0 {
			for k, f := range t.series[i] {
				cosine += f * (c[k*wide] - s[k*wide+1])
				sine += f * (c[k*wide+1] + s[k*wide])
			}
		} else {
			for k, f := range t.series[i] {
				cosine += f * (c[k*wide] + s[k*wide+1])
				sine += f * (s[k*wide] - c[k*wide+1])
			}
		}
		dst[q.cos] = cosine
		if q.sin >= 0 {
			dst[q.sin] = sine
		}
	}
}

// Evaluate writes Σ_j coef_j φ_j(R_i) for every point into dst, which is indexed like the orientations that
// [Torus.Points] was given.
func (t *Torus) Evaluate(dst []float64, h *Harmonics, coef []float64, p *TorusPoints) error {
	if err := t.Load(h, coef); err != nil {
		return err
	}
	t.read(p, dst)
	return nil
}

// Load puts a function onto the grid, for [Torus.Read].
func (t *Torus) Load(h *Harmonics, coef []float64) error {
	if err := t.check(h); err != nil {
		return err
	}
	kTop, nTop := t.b.top, t.c.top
	sheet, wide := t.sheet(), 2*(nTop+1)
	clear(t.outer)
	var used reach
	for i, q := range h.pairs {
		m, n := q.m/t.a.step, abs(q.n)/t.c.step
		used.m, used.n, used.k = max(used.m, m), max(used.n, n), max(used.k, q.l)
		kind := abs(q.m-q.n) & 1
		c := t.outer[(2*m)*sheet+kind*(kTop+1)*wide+2*n:]
		s := t.outer[(2*m+1)*sheet+kind*(kTop+1)*wide+2*n:]
		cosine, sine := coef[q.cos], 0.0
		if q.sin >= 0 {
			sine = coef[q.sin]
		}
		flip := 1.0
		if q.n < 0 {
			flip = -1
		}
		for k, f := range t.series[i] {
			c[k*wide] += f * cosine
			s[k*wide+1] -= flip * f * cosine
			c[k*wide+1] += flip * f * sine
			s[k*wide] += f * sine
		}
	}
	t.scatter(used)
	return nil
}

// reach is the greatest index of a frequency in α (m), β (k) and γ (n) that a function has.
type reach struct{ m, k, n int }

// Read writes the loaded function's value at every point into dst. It only reads the grid: several goroutines may
// call it at once.
func (t *Torus) Read(dst []float64, p *TorusPoints) { t.read(p, dst) }

func (t *Torus) spread(p *TorusPoints, w []float64) {
	n := p.Len()
	inParallel(spreadChunks, t.workers, func(chunk int) {
		grid := t.grids[chunk]
		clear(grid)
		wa, wb, wc := t.a.width, t.b.width, t.c.width
		width := wa + wb + wc
		for i := chunk * n / spreadChunks; i < (chunk+1)*n/spreadChunks; i++ {
			weights := p.weights[i*width:][:width]
			v := w[p.order[i]]
			column := weights[wa+wb:]
			plane := int(p.first[3*i])
			corner := int(p.first[3*i+1])*t.stride + int(p.first[3*i+2])
			for _, a := range weights[:wa] {
				if plane == t.a.size {
					plane = 0
				}
				at := plane*t.height*t.stride + corner
				plane++
				if wc != kernelWidth {
					for _, b := range weights[wa : wa+wb] {
						grid[at] += v * a * b
						at += t.stride
					}
					continue
				}
				c := (*[kernelWidth]float64)(column)
				for _, b := range weights[wa : wa+wb] {
					u := v * a * b
					row := (*[kernelWidth]float64)(grid[at:])
					row[0] += u * c[0]
					row[1] += u * c[1]
					row[2] += u * c[2]
					row[3] += u * c[3]
					row[4] += u * c[4]
					row[5] += u * c[5]
					row[6] += u * c[6]
					row[7] += u * c[7]
					at += t.stride
				}
			}
		}
	})
}

func (t *Torus) read(p *TorusPoints, dst []float64) {
	const chunk = 1024
	grid := t.grids[0]
	n := p.Len()
	inParallel((n+chunk-1)/chunk, t.workers, func(part int) {
		wa, wb, wc := t.a.width, t.b.width, t.c.width
		width := wa + wb + wc
		for i := part * chunk; i < min(n, (part+1)*chunk); i++ {
			weights := p.weights[i*width:][:width]
			column := weights[wa+wb:]
			plane := int(p.first[3*i])
			corner := int(p.first[3*i+1])*t.stride + int(p.first[3*i+2])
			sum := 0.0
			for _, a := range weights[:wa] {
				if plane == t.a.size {
					plane = 0
				}
				at := plane*t.height*t.stride + corner
				plane++
				if wc != kernelWidth {
					for _, b := range weights[wa : wa+wb] {
						sum += a * b * grid[at]
						at += t.stride
					}
					continue
				}
				c := (*[kernelWidth]float64)(column)
				for _, b := range weights[wa : wa+wb] {
					row := (*[kernelWidth]float64)(grid[at:])
					even := row[0]*c[0] + row[2]*c[2] + row[4]*c[4] + row[6]*c[6]
					odd := row[1]*c[1] + row[3]*c[3] + row[5]*c[5] + row[7]*c[7]
					sum += a * b * (even + odd)
					at += t.stride
				}
			}
			dst[p.order[i]] = sum
		}
	})
}

// gather transforms the partial grids into outer: first γ, then β, both plane by plane of α, then α.
func (t *Torus) gather() {
	nTop, kTop := t.c.top, t.b.top
	wide := 2 * (nTop + 1)
	sheet := t.sheet()
	half := t.c.size / 2
	shift := t.betaShift()
	inParallel(t.a.size, t.workers, func(plane int) {
		line := make([]float64, t.stride)
		waves := make([]float64, wide)
		out := t.middle[plane*sheet:][:sheet]
		clear(out)
		for row := range t.height {
			at := (plane*t.height + row) * t.stride
			copy(line, t.grids[0][at:at+t.stride])
			for _, grid := range t.grids[1:] {
				for j, v := range grid[at : at+t.stride] {
					line[j] += v
				}
			}
			for j := t.c.size; j < t.stride; j++ {
				line[j-t.c.size] += line[j]
			}
			clear(waves)
			for j := 0; j <= half && j < t.c.size; j++ {
				even, odd := line[j], 0.0
				if mirror := t.c.size - j; j > 0 && mirror != j {
					even, odd = line[j]+line[mirror], line[j]-line[mirror]
				}
				cos, sin := t.c.cos[j*(nTop+1):][:nTop+1], t.c.sin[j*(nTop+1):][:nTop+1]
				for n := range cos {
					waves[2*n] += even * cos[n]
					waves[2*n+1] += odd * sin[n]
				}
			}
			at = ((row - shift + t.b.size) % t.b.size) * (kTop + 1)
			for k := 0; k <= kTop; k++ {
				axpy(out[k*wide:][:wide], t.b.cos[at+k], waves)
				axpy(out[(kTop+1+k)*wide:][:wide], t.b.sin[at+k], waves)
			}
		}
	})
	inParallel(t.a.top+1, t.workers, func(m int) {
		cosine, sine := t.outer[2*m*sheet:][:sheet], t.outer[(2*m+1)*sheet:][:sheet]
		clear(cosine)
		clear(sine)
		for plane := range t.a.size {
			from := t.middle[plane*sheet:][:sheet]
			axpy(cosine, t.a.cos[plane*(t.a.top+1)+m], from)
			axpy(sine, t.a.sin[plane*(t.a.top+1)+m], from)
		}
	})
}

// scatter is the transpose of gather, into the first grid, with the columns beyond the turn repeated. Frequencies beyond those
// used are zero and passed over: a function is often of much lower degree than the grid.
func (t *Torus) scatter(used reach) {
	nTop, kTop := t.c.top, t.b.top
	wide := 2 * (nTop + 1)
	sheet := t.sheet()
	half := t.c.size / 2
	shift := t.betaShift()
	inParallel(t.a.size, t.workers, func(plane int) {
		from := t.middle[plane*sheet:][:sheet]
		clear(from)
		some := 2 * (used.n + 1)
		for m := 0; m <= used.m; m++ {
			cos, sin := t.a.cos[plane*(t.a.top+1)+m], t.a.sin[plane*(t.a.top+1)+m]
			cosine, sine := t.outer[2*m*sheet:][:sheet], t.outer[(2*m+1)*sheet:][:sheet]
			for _, parity := range [2]int{0, (kTop + 1) * wide} {
				for k := 0; k <= used.k; k++ {
					at := parity + k*wide
					axpy(from[at:][:some], cos, cosine[at:])
					axpy(from[at:][:some], sin, sine[at:])
				}
			}
		}
		waves := make([]float64, some)
		for row := range t.height {
			clear(waves)
			at := ((row - shift + t.b.size) % t.b.size) * (kTop + 1)
			for k := 0; k <= used.k; k++ {
				axpy(waves, t.b.cos[at+k], from[k*wide:])
				axpy(waves, t.b.sin[at+k], from[(kTop+1+k)*wide:])
			}
			line := t.grids[0][(plane*t.height+row)*t.stride:][:t.stride]
			for j := 0; j <= half && j < t.c.size; j++ {
				cos, sin := t.c.cos[j*(nTop+1):][:used.n+1], t.c.sin[j*(nTop+1):][:used.n+1]
				even, odd := 0.0, 0.0
				for n := range cos {
					even += waves[2*n] * cos[n]
					odd += waves[2*n+1] * sin[n]
				}
				line[j] = even + odd
				if mirror := t.c.size - j; j > 0 && mirror != j {
					line[mirror] = even - odd
				}
			}
			for j := t.c.size; j < t.stride; j++ {
				line[j] = line[j-t.c.size]
			}
		}
	})
}

// axpy adds a·x to y.
func axpy(y []float64, a float64, x []float64) {
	x = x[:len(y)]
	for i := range y {
		y[i] += a * x[i]
	}
}
