package additive

import (
	"sort"

	"holdfast/numeric/dense"
)

// block is a term with its place among the coefficients: that of function j at level a stands at base + a·size + j.
type block struct {
	term   Term
	shape  int // index among the layout's shapes
	size   int // functions, the first of the shape's
	levels []string
	index  map[string]int
	base   int
	prior  prior
	hyper  []int // where its prior's hyperparameters stand
	kernel []int // and those of its kernel
}

// level returns the index of row i's level, −1 when the model does not know it.
func (b *block) level(d *Data, i int) int {
	if b.term.By == "" {
		return 0
	}
	if a, ok := b.index[d.Levels[b.term.By][i]]; ok {
		return a
	}
	return -1
}

// layout holds the distinct rows so that sums over them stay cheap: terms that share functions share their values, and
// rows lie by cell, a cell being the rows that agree in the levels of every wide term. Within one, every wide term
// has the same columns, so a cell needs one small product of its functions with themselves (DESIGN.md eq. 4).
type layout struct {
	columns int
	blocks  []*block
	wide    []int // blocks with several functions
	narrow  []int // blocks with one
	shapes  []shape
	start   []int // of each shape among the functions of a row
	width   int   // functions of a row

	order []int // position here → row of the data
	cells []layoutCell
	rows  []float64 // position × function
	cols  []float64 // function × position

	value [][]float64 // of the function of each narrow block, by position
	at    [][]int     // level of each narrow block, by position; −1 for none
}

type layoutCell struct {
	from, to int
	level    []int // of each wide block
}

// arrange lays the rows of d out. Shapes have their wide blocks' functions; narrow blocks keep their one value apart.
func arrange(d *Data, blocks []*block, shapes []shape) *layout {
	l := &layout{blocks: blocks, shapes: shapes}
	for i, b := range blocks {
		l.columns = max(l.columns, b.base+b.size*len(b.levels))
		if shapes[b.shape].size > 1 {
			l.wide = append(l.wide, i)
		} else {
			l.narrow = append(l.narrow, i)
		}
	}
	l.start = make([]int, len(shapes))
	for s, sh := range shapes {
		l.start[s] = l.width
		if sh.size > 1 {
			l.width += sh.size
		}
	}
	n := d.Len()
	levels := make([][]int, n)
	l.order = make([]int, n)
	for i := range levels {
		l.order[i] = i
		levels[i] = make([]int, len(l.wide))
		for k, b := range l.wide {
			levels[i][k] = blocks[b].level(d, i)
		}
	}
	before := func(a, b []int) int {
		for k := range a {
			if a[k] != b[k] {
				return a[k] - b[k]
			}
		}
		return 0
	}
	sort.SliceStable(l.order, func(i, j int) bool { return before(levels[l.order[i]], levels[l.order[j]]) < 0 })
	for pos, i := range l.order {
		if pos == 0 || before(levels[i], levels[l.order[pos-1]]) != 0 {
			l.cells = append(l.cells, layoutCell{from: pos, level: levels[i]})
		}
		l.cells[len(l.cells)-1].to = pos + 1
	}
	l.fill(d, n)
	return l
}

func (l *layout) fill(d *Data, n int) {
	l.rows, l.cols = make([]float64, n*l.width), make([]float64, n*l.width)
	for pos, i := range l.order {
		row := l.rows[pos*l.width : (pos+1)*l.width]
		for s, sh := range l.shapes {
			if sh.size > 1 {
				sh.fill(row[l.start[s]:l.start[s]+sh.size], d, i)
			}
		}
		for j, v := range row {
			l.cols[j*n+pos] = v
		}
	}
	l.value, l.at = make([][]float64, len(l.narrow)), make([][]int, len(l.narrow))
	one := make([]float64, 1)
	for k, bi := range l.narrow {
		b := l.blocks[bi]
		l.value[k], l.at[k] = make([]float64, n), make([]int, n)
		for pos, i := range l.order {
			l.shapes[b.shape].fill(one, d, i)
			l.value[k][pos] = one[0]
			l.at[k][pos] = b.level(d, i)
		}
	}
}

// apply writes Φc into dst.
func (l *layout) apply(dst, c []float64, workers int) {
	dense.InParallel(len(l.cells), workers, func(q int) {
		cell := l.cells[q]
		w := make([]float64, l.width)
		for k, bi := range l.wide {
			b := l.blocks[bi]
			if cell.level[k] < 0 {
				continue
			}
			from := b.base + cell.level[k]*b.size
			for j, v := range c[from : from+b.size] {
				w[l.start[b.shape]+j] += v
			}
		}
		for i := cell.from; i < cell.to; i++ {
			s := dense.Dot(w, l.rows[i*l.width:(i+1)*l.width])
			for k, bi := range l.narrow {
				if a := l.at[k][i]; a >= 0 {
					s += l.value[k][i] * c[l.blocks[bi].base+a]
				}
			}
			dst[i] = s
		}
	})
}

// adjoint writes Φᵀv into dst.
func (l *layout) adjoint(dst, v []float64, workers int) {
	clear(dst)
	n := len(l.order)
	for _, cell := range l.cells {
		g := make([]float64, l.width)
		dense.InParallel((l.width+31)/32, workers, func(t int) {
			for j := 32 * t; j < min(l.width, 32*t+32); j++ {
				g[j] = dense.Dot(v[cell.from:cell.to], l.cols[j*n+cell.from:j*n+cell.to])
			}
		})
		for k, bi := range l.wide {
			b := l.blocks[bi]
			if cell.level[k] < 0 {
				continue
			}
			from := b.base + cell.level[k]*b.size
			for j := range b.size {
				dst[from+j] += g[l.start[b.shape]+j]
			}
		}
	}
	for k, bi := range l.narrow {
		for i, a := range l.at[k] {
			if a >= 0 {
				dst[l.blocks[bi].base+a] += v[i] * l.value[k][i]
			}
		}
	}
}

// gram writes the lower triangle of ΦᵀWΦ into a, which is columns² numbers.
func (l *layout) gram(a, weight []float64, workers int) {
	clear(a)
	n, width, p := len(l.order), l.width, l.columns
	weighted := make([]float64, len(l.cols))
	dense.InParallel(width, workers, func(j int) {
		for i, w := range weight {
			weighted[j*n+i] = w * l.cols[j*n+i]
		}
	})
	square := make([]float64, width*width)
	const tile = 32
	tiles := (width + tile - 1) / tile
	for _, cell := range l.cells {
		dense.InParallel(tiles*(tiles+1)/2, workers, func(t int) {
			ti := 0
			for (ti+1)*(ti+2)/2 <= t {
				ti++
			}
			tj := t - ti*(ti+1)/2
			l.products(square, weighted, cell, tile*ti, min(width, tile*ti+tile), tile*tj, min(width, tile*tj+tile))
		})
		for i := range width {
			for j := range i {
				square[j*width+i] = square[i*width+j]
			}
		}
		for k, bk := range l.wide {
			t := l.blocks[bk]
			if cell.level[k] < 0 {
				continue
			}
			row, st := t.base+cell.level[k]*t.size, l.start[t.shape]
			for m, bm := range l.wide[:k+1] {
				u := l.blocks[bm]
				if cell.level[m] < 0 {
					continue
				}
				col, su := u.base+cell.level[m]*u.size, l.start[u.shape]
				for i := range t.size {
					length := u.size
					if bm == bk {
						length = i + 1
					}
					to := a[(row+i)*p+col : (row+i)*p+col+length]
					for j, v := range square[(st+i)*width+su : (st+i)*width+su+length] {
						to[j] += v
					}
				}
			}
		}
	}
	l.gramNarrow(a, weight)
}

// products computes a tile of the products of the functions in one cell.
func (l *layout) products(square, weighted []float64, cell layoutCell, i0, i1, j0, j1 int) {
	n, width := len(l.order), l.width
	x := func(i int) []float64 { return weighted[i*n+cell.from : i*n+cell.to] }
	y := func(j int) []float64 { return l.cols[j*n+cell.from : j*n+cell.to] }
	i := i0
	for ; i+2 <= i1; i += 2 {
		j := j0
		for ; j+2 <= j1; j += 2 {
			square[i*width+j], square[i*width+j+1], square[(i+1)*width+j], square[(i+1)*width+j+1] = dense.Dots2x2(x(i), x(i+1), y(j), y(j+1))
		}
		for ; j < j1; j++ {
			square[i*width+j], square[(i+1)*width+j] = dense.Dot(x(i), y(j)), dense.Dot(x(i+1), y(j))
		}
	}
	for ; i < i1; i++ {
		for j := j0; j < j1; j++ {
			square[i*width+j] = dense.Dot(x(i), y(j))
		}
	}
}

// gramNarrow adds the products with functions of narrow blocks, whose columns stand last.
func (l *layout) gramNarrow(a, weight []float64) {
	p := l.columns
	for _, cell := range l.cells {
		for i := cell.from; i < cell.to; i++ {
			features := l.rows[i*l.width : (i+1)*l.width]
			for k, bk := range l.narrow {
				if l.at[k][i] < 0 {
					continue
				}
				x := weight[i] * l.value[k][i]
				row := a[(l.blocks[bk].base+l.at[k][i])*p:]
				for m, bm := range l.wide {
					if u := l.blocks[bm]; cell.level[m] >= 0 {
						to := row[u.base+cell.level[m]*u.size:][:u.size]
						for j, v := range features[l.start[u.shape]:][:u.size] {
							to[j] += x * v
						}
					}
				}
				for m, bm := range l.narrow[:k+1] {
					if l.at[m][i] >= 0 {
						row[l.blocks[bm].base+l.at[m][i]] += x * l.value[m][i]
					}
				}
			}
		}
	}
}

// quadratic writes φᵀVφ of every row into dst, for the symmetric matrix V whose lower triangle is given.
func (l *layout) quadratic(dst, v []float64, workers int) {
	width, p := l.width, l.columns
	square := make([]float64, width*width)
	for _, cell := range l.cells {
		clear(square)
		for k, bk := range l.wide {
			t := l.blocks[bk]
			for m, bm := range l.wide[:k+1] {
				u := l.blocks[bm]
				if cell.level[k] < 0 || cell.level[m] < 0 {
					continue
				}
				row, st := t.base+cell.level[k]*t.size, l.start[t.shape]
				col, su := u.base+cell.level[m]*u.size, l.start[u.shape]
				for i := range t.size {
					for j := range u.size {
						r, c := row+i, col+j
						if bm == bk && c > r {
							r, c = c, r
						}
						x := v[r*p+c]
						if bm != bk {
							x *= 2 // once for each order of the two blocks
						}
						r, c = max(st+i, su+j), min(st+i, su+j)
						square[r*width+c] += x
					}
				}
			}
		}
		const chunk = 64
		dense.InParallel((cell.to-cell.from+chunk-1)/chunk, workers, func(q int) {
			from := cell.from + q*chunk
			l.forms(dst, square, from, min(from+chunk, cell.to))
			for i := from; i < min(from+chunk, cell.to); i++ {
				dst[i] += l.narrowForm(v, cell, i)
			}
		})
	}
}

// forms computes φᵀSφ for positions from … to, S lower triangular.
func (l *layout) forms(dst, s []float64, from, to int) {
	width := l.width
	i := from
	for ; i+2 <= to; i += 2 {
		x, y := l.rows[i*width:(i+1)*width], l.rows[(i+1)*width:(i+2)*width]
		var h, g float64
		r := 0
		for ; r+2 <= width; r += 2 {
			h0, h1, g0, g1 := dense.Dots2x2(x, y, s[r*width:r*width+r+1], s[(r+1)*width:(r+1)*width+r+1])
			last := s[(r+1)*width+r+1]
			h += x[r]*h0 + x[r+1]*(h1+last*x[r+1])
			g += y[r]*g0 + y[r+1]*(g1+last*y[r+1])
		}
		for ; r < width; r++ {
			row := s[r*width : r*width+r+1]
			h += x[r] * dense.Dot(row, x)
			g += y[r] * dense.Dot(row, y)
		}
		dst[i], dst[i+1] = h, g
	}
	for ; i < to; i++ {
		x := l.rows[i*width : (i+1)*width]
		dst[i] = 0
		for r := range width {
			dst[i] += x[r] * dense.Dot(s[r*width:r*width+r+1], x)
		}
	}
}

func (l *layout) narrowForm(v []float64, cell layoutCell, i int) float64 {
	p, sum := l.columns, 0.0
	features := l.rows[i*l.width : (i+1)*l.width]
	for k, bk := range l.narrow {
		if l.at[k][i] < 0 {
			continue
		}
		x := l.value[k][i]
		row := v[(l.blocks[bk].base+l.at[k][i])*p:]
		part := 0.0
		for m, bm := range l.wide {
			if u := l.blocks[bm]; cell.level[m] >= 0 {
				part += dense.Dot(features[l.start[u.shape]:][:u.size], row[u.base+cell.level[m]*u.size:])
			}
		}
		for m, bm := range l.narrow[:k] {
			if l.at[m][i] >= 0 {
				part += l.value[m][i] * row[l.blocks[bm].base+l.at[m][i]]
			}
		}
		sum += x * (2*part + x*row[l.blocks[bk].base+l.at[k][i]])
	}
	return sum
}

// features writes the row of Φ at the position into dst.
func (l *layout) features(dst []float64, cell layoutCell, i int) {
	clear(dst)
	row := l.rows[i*l.width : (i+1)*l.width]
	for k, bi := range l.wide {
		if b := l.blocks[bi]; cell.level[k] >= 0 {
			copy(dst[b.base+cell.level[k]*b.size:][:b.size], row[l.start[b.shape]:])
		}
	}
	for k, bi := range l.narrow {
		if a := l.at[k][i]; a >= 0 {
			dst[l.blocks[bi].base+a] = l.value[k][i]
		}
	}
}
