package shape

import (
	"math"

	"holdfast/orient"
)

var _ Solid = Ellipsoid{}

// Reach returns the longest semi-axis.
func (e Ellipsoid) Reach() float64 { return max(e.Semi[0], e.Semi[1], e.Semi[2]) }

// Footing appends the one point that a plane with that outward unit normal touches.
func (e Ellipsoid) Footing(direction orient.Vec3, _ float64, dst []Foot) []Foot {
	return append(dst, Foot{Point: e.Support(direction)})
}

// Curvature returns the principal curvatures (1/m) at the surface's point nearest to p.
func (e Ellipsoid) Curvature(p orient.Vec3) (k1, k2 float64) {
	var g orient.Vec3
	var h [6]float64
	for i, v := range e.Point(p).Point {
		h[i] = 1 / (e.Semi[i] * e.Semi[i])
		g[i] = v * h[i]
	}
	return curvatures(g, h)
}

// Moments returns 4π/3·abc and m(b² + c²)/5 and so on: the ball's, with its axes stretched.
func (e Ellipsoid) Moments() (volume float64, perDensity orient.Vec3) {
	a, b, c := e.Semi[0]*e.Semi[0], e.Semi[1]*e.Semi[1], e.Semi[2]*e.Semi[2]
	volume = 4 * math.Pi / 3 * e.Semi[0] * e.Semi[1] * e.Semi[2]
	return volume, orient.Vec3{b + c, a + c, a + b}.Scale(volume / 5)
}

// Extents returns the semi-axes.
func (e Ellipsoid) Extents() orient.Vec3 { return e.Semi }

// Scaled returns the ellipsoid with its semi-axes multiplied by the factor.
func (e Ellipsoid) Scaled(factor float64) Solid { return Ellipsoid{e.Semi.Scale(factor)} }

// Outline returns 8·detail² triangles with their corners on the surface.
func (e Ellipsoid) Outline(detail int) Mesh {
	mesh := ball(detail)
	for i, v := range mesh.Vertices {
		mesh.Vertices[i] = orient.Vec3{v[0] * e.Semi[0], v[1] * e.Semi[1], v[2] * e.Semi[2]}
	}
	return mesh
}
