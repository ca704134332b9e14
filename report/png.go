package report

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"slices"

	"holdfast/domain"
)

// PNG paints the scene as a picture of the given width in pixels (50 to 8000) on white. Letters are drawn with the
// room's own stroke face, so that the picture is the same on every machine.
func (s *Scene) PNG(width int) ([]byte, error) {
	height := int(math.Ceil(float64(width) * s.H / s.W))
	if width < 50 || width > 8000 || height > 16000 {
		return nil, domain.Errorf(domain.KindInvalid, "a picture may be 50 to 8000 pixels wide and 16000 high; this one would be %d × %d", width, height)
	}
	c := newCanvas(width, height, float64(width)/s.W)
	for i := range s.ops {
		c.paint(&s.ops[i])
	}
	var b bytes.Buffer
	if err := png.Encode(&b, c.img); err != nil {
		return nil, domain.Internal("writing the PNG", err)
	}
	return b.Bytes(), nil
}

// rows is the number of sub-rows that a pixel's coverage is averaged over; along a row coverage is exact.
const rows = 5

type canvas struct {
	img   *image.RGBA
	scale float64 // pixels per mm
	clips [][]uint8
	cover []float32
	xs    []crossing
}

type crossing struct {
	x   float64
	dir int
}

func newCanvas(w, h int, scale float64) *canvas {
	c := &canvas{img: image.NewRGBA(image.Rect(0, 0, w, h)), scale: scale, cover: make([]float32, w+2)}
	for i := range c.img.Pix {
		c.img.Pix[i] = 255
	}
	return c
}

func (c *canvas) paint(o *op) {
	switch o.kind {
	case opClip:
		mask := make([]uint8, c.img.Rect.Dx()*c.img.Rect.Dy())
		c.cover2D(flatten(o.path, 0.1/c.scale), false, func(x, y int, a float32) {
			if len(c.clips) > 0 {
				a *= float32(c.clips[len(c.clips)-1][y*c.img.Rect.Dx()+x]) / 255
			}
			mask[y*c.img.Rect.Dx()+x] = uint8(a*255 + 0.5)
		})
		c.clips = append(c.clips, mask)
	case opUnclip:
		c.clips = c.clips[:len(c.clips)-1]
	case opPath:
		parts := flatten(o.path, 0.1/c.scale)
		if o.style.Fill != nil {
			c.fill(parts, false, *o.style.Fill)
		}
		if o.style.Stroke != nil {
			if o.style.Dash > 0 {
				parts = dash(parts, o.style.Dash)
			}
			c.fill(outlines(parts, o.style.Width), true, *o.style.Stroke)
		}
	case opText:
		weight := 0.075
		if o.bold {
			weight = 0.125
		}
		c.fill(outlines(letters(o), weight*o.size), true, o.colour)
	}
}

func (c *canvas) fill(parts [][]Point, nonZero bool, col Colour) {
	w := c.img.Rect.Dx()
	var clip []uint8
	if len(c.clips) > 0 {
		clip = c.clips[len(c.clips)-1]
	}
	c.cover2D(parts, nonZero, func(x, y int, a float32) {
		if clip != nil {
			a *= float32(clip[y*w+x]) / 255
		}
		i := c.img.PixOffset(x, y)
		p := c.img.Pix[i : i+3 : i+3]
		mix := func(old, now uint8) uint8 { return uint8(float32(old) + (float32(now)-float32(old))*a + 0.5) }
		p[0], p[1], p[2] = mix(p[0], col.R), mix(p[1], col.G), mix(p[2], col.B)
	})
}

type side struct {
	x0, y0, x1, y1 float64 // pixels, y0 < y1
	dir            int
}

// cover2D calls put for each pixel that the polygons cover, with the covered share in (0, 1].
func (c *canvas) cover2D(parts [][]Point, nonZero bool, put func(x, y int, a float32)) {
	w, h := c.img.Rect.Dx(), c.img.Rect.Dy()
	var sides []side
	for _, part := range parts {
		for i := range part {
			a, b := part[i], part[(i+1)%len(part)]
			s := side{a.X * c.scale, a.Y * c.scale, b.X * c.scale, b.Y * c.scale, 1}
			if s.y0 > s.y1 {
				s = side{s.x1, s.y1, s.x0, s.y0, -1}
			}
			if s.y0 < s.y1 && s.y1 > 0 && s.y0 < float64(h) {
				sides = append(sides, s)
			}
		}
	}
	slices.SortFunc(sides, func(a, b side) int {
		switch {
		case a.y0 < b.y0:
			return -1
		case a.y0 > b.y0:
			return 1
		}
		return 0
	})
	var active []side
	next := 0
	if len(sides) == 0 {
		return
	}
	for y := max(0, int(sides[0].y0)); y < h; y++ {
		for next < len(sides) && sides[next].y0 < float64(y+1) {
			active = append(active, sides[next])
			next++
		}
		active = slices.DeleteFunc(active, func(s side) bool { return s.y1 <= float64(y) })
		if len(active) == 0 {
			if next == len(sides) {
				return
			}
			continue
		}
		lo, hi := w, -1
		for k := range rows {
			c.subRow(active, float64(y)+(float64(k)+0.5)/rows, nonZero, &lo, &hi)
		}
		for x := max(lo, 0); x <= min(hi, w-1); x++ {
			if a := c.cover[x]; a > 0.002 {
				put(x, y, min(a, 1))
			}
			c.cover[x] = 0
		}
		c.cover[w], c.cover[w+1] = 0, 0
	}
}

// subRow adds the coverage of one horizontal line at height y, weight 1/rows.
func (c *canvas) subRow(active []side, y float64, nonZero bool, lo, hi *int) {
	c.xs = c.xs[:0]
	for _, s := range active {
		if s.y0 <= y && y < s.y1 {
			c.xs = append(c.xs, crossing{s.x0 + (s.x1-s.x0)*(y-s.y0)/(s.y1-s.y0), s.dir})
		}
	}
	slices.SortFunc(c.xs, func(a, b crossing) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	winding := 0
	for i := 0; i+1 < len(c.xs); i++ {
		if nonZero {
			winding += c.xs[i].dir
		} else {
			winding ^= 1
		}
		if winding != 0 {
			c.span(c.xs[i].x, c.xs[i+1].x, lo, hi)
		}
	}
}

func (c *canvas) span(x0, x1 float64, lo, hi *int) {
	w := float64(c.img.Rect.Dx())
	x0, x1 = min(max(x0, 0), w), min(max(x1, 0), w)
	if x1 <= x0 {
		return
	}
	i0, i1 := int(x0), int(x1)
	*lo, *hi = min(*lo, i0), max(*hi, i1)
	if i0 == i1 {
		c.cover[i0] += float32(x1-x0) / rows
		return
	}
	c.cover[i0] += float32(float64(i0+1)-x0) / rows
	for i := i0 + 1; i < i1; i++ {
		c.cover[i] += 1.0 / rows
	}
	c.cover[i1] += float32(x1-float64(i1)) / rows
}

// dash cuts polylines into dashes and gaps of equal length.
func dash(parts [][]Point, length float64) [][]Point {
	var out [][]Point
	for _, part := range parts {
		left, on := length, true
		now := []Point{part[0]}
		for i := 1; i < len(part); i++ {
			a, b := part[i-1], part[i]
			for {
				d := math.Hypot(b.X-a.X, b.Y-a.Y)
				if d <= left {
					left -= d
					now = append(now, b)
					break
				}
				t := left / d
				a = Point{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
				if on {
					out = append(out, append(now, a))
				}
				now, on, left = []Point{a}, !on, length
			}
		}
		if on && len(now) > 1 {
			out = append(out, now)
		}
	}
	return out
}

// outlines turns polylines into polygons of the stroke's width with round ends and joints, to be filled by non-zero
// winding.
func outlines(parts [][]Point, width float64) [][]Point {
	var out [][]Point
	r := width / 2
	const n = 12
	round := func(p Point) {
		ring := make([]Point, n)
		for i := range ring {
			s, c := math.Sincos(2 * math.Pi * float64(i) / n)
			ring[i] = Point{p.X + r*c, p.Y + r*s}
		}
		out = append(out, ring)
	}
	for _, part := range parts {
		round(part[0])
		for i := 1; i < len(part); i++ {
			a, b := part[i-1], part[i]
			d := math.Hypot(b.X-a.X, b.Y-a.Y)
			if d == 0 {
				continue
			}
			nx, ny := -(b.Y-a.Y)/d*r, (b.X-a.X)/d*r
			out = append(out, []Point{{a.X - nx, a.Y - ny}, {b.X - nx, b.Y - ny}, {b.X + nx, b.Y + ny}, {a.X + nx, a.Y + ny}})
			round(b)
		}
	}
	return out
}
