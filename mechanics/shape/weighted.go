package shape

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// Weighted is a solid that is not evenly filled: a roll with its cream at one end. Its frame has the axes of the solid that gives it
// its surface and the origin in the true centre of mass.
type Weighted struct {
	surface  Solid
	centre   orient.Vec3 // m, in the frame of the surface
	gyration orient.Vec3 // m
}

// NewWeighted gives a solid another centre of mass (m, in the solid's own frame) and radii of gyration (m) about that centre along the
// solid's axes, which must be principal ones. Radii of 0 leave those of the evenly filled solid about its middle. The centre may lie
// in the hollow of a bent solid, but not beyond a plane that touches it.
func NewWeighted(surface Solid, centre, gyration orient.Vec3) (*Weighted, error) {
	for k := range 27 {
		d := orient.Vec3{float64(k%3 - 1), float64(k/3%3 - 1), float64(k/9 - 1)}
		if d == (orient.Vec3{}) {
			continue
		}
		if out := d.Dot(sub(centre, surface.Support(d))) / d.Norm(); !(out < 0) {
			return nil, fmt.Errorf("the centre of mass lies %.3g mm outside the solid", 1e3*out)
		}
	}
	if gyration == (orient.Vec3{}) {
		volume, moments := surface.Moments()
		for i, m := range moments {
			gyration[i] = math.Sqrt(m / volume)
		}
	}
	x, y, z := gyration[0]*gyration[0], gyration[1]*gyration[1], gyration[2]*gyration[2]
	if most := max(x, y, z); !(min(x, y, z) > 0) || math.IsInf(most, 0) || 2*most > (x+y+z)*(1+1e-9) {
		return nil, fmt.Errorf("no body has moments of inertia in the proportions %.3g : %.3g : %.3g; each must be positive and none more than the other two together", x, y, z)
	}
	return &Weighted{surface, centre, gyration}, nil
}

// Surface returns the solid that gives it its surface; that one's origin lies at minus [Weighted.Centre].
func (w *Weighted) Surface() Solid { return w.surface }

// Centre returns where the centre of mass lies (m) in the frame of the surface.
func (w *Weighted) Centre() orient.Vec3 { return w.centre }

func (w *Weighted) moved(n Near) Near {
	n.Point = sub(n.Point, w.centre)
	return n
}

// Point asks the surface.
func (w *Weighted) Point(p orient.Vec3) Near { return w.moved(w.surface.Point(p.Add(w.centre))) }

// Segment asks the surface.
func (w *Weighted) Segment(a, b orient.Vec3) Near {
	return w.moved(w.surface.Segment(a.Add(w.centre), b.Add(w.centre)))
}

// Apart asks the surface.
func (w *Weighted) Apart(a, b orient.Vec3) float64 {
	return w.surface.Apart(a.Add(w.centre), b.Add(w.centre))
}

// Support asks the surface.
func (w *Weighted) Support(direction orient.Vec3) orient.Vec3 {
	return sub(w.surface.Support(direction), w.centre)
}

// Reach holds the ball of the surface.
func (w *Weighted) Reach() float64 { return w.surface.Reach() + w.centre.Norm() }

// Footing asks the surface.
func (w *Weighted) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	first := len(dst)
	dst = w.surface.Footing(direction, depth, dst)
	for i := range dst[first:] {
		dst[first+i].Point = sub(dst[first+i].Point, w.centre)
	}
	return dst
}

// Curvature asks the surface.
func (w *Weighted) Curvature(p orient.Vec3) (k1, k2 float64) {
	return w.surface.Curvature(p.Add(w.centre))
}

// Moments are those of the radii of gyration.
func (w *Weighted) Moments() (volume float64, perDensity orient.Vec3) {
	volume, _ = w.surface.Moments()
	for i, k := range w.gyration {
		perDensity[i] = volume * k * k
	}
	return volume, perDensity
}

// Extents are those of the surface.
func (w *Weighted) Extents() orient.Vec3 { return w.surface.Extents() }

// Scaled returns the solid with all lengths multiplied by the factor, those of its filling as well.
func (w *Weighted) Scaled(factor float64) Solid {
	return &Weighted{w.surface.Scaled(factor), w.centre.Scale(factor), w.gyration.Scale(factor)}
}

// Outline returns that of the surface, seen from the centre of mass.
func (w *Weighted) Outline(detail int) Mesh {
	m := w.surface.Outline(detail)
	vertices := make([]orient.Vec3, len(m.Vertices))
	for i, v := range m.Vertices {
		vertices[i] = sub(v, w.centre)
	}
	m.Vertices = vertices
	return m
}
