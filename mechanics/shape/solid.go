package shape

import (
	"math"

	"holdfast/orient"
)

// Solid is a homogeneous body whose own frame lies at its centre of mass along its principal axes. All lengths are in metres
// in that frame. Nothing but Scaled and Outline allocates, and a solid may be asked from many goroutines at once.
type Solid interface {
	// Point returns the surface's point nearest to p, with the signed distance (negative inside) and the outward normal there.
	Point(p orient.Vec3) Near
	// Segment returns where the segment from a to b is nearest to the surface, or deepest inside.
	Segment(a, b orient.Vec3) Near
	// Apart is a distance (m) than which no point of the segment from a to b is nearer to the surface. It is cheap and may be far
	// too small, down to −Inf; nothing follows from one that is negative.
	Apart(a, b orient.Vec3) float64
	// Support returns the surface's point that lies farthest along the direction, which must not vanish.
	Support(direction orient.Vec3) orient.Vec3
	// Reach returns the radius (m) of a ball about the origin that holds the solid.
	Reach() float64
	// Footing appends to dst the points that can bear on a plane with the unit normal direction, outward from the solid: the
	// support point, and those of a small fixed set (corners, points of rims) that lie within depth (m) of it along the
	// direction. There are at most [FootingMost] of them. An ID names a feature and stays from step to step, so that what is
	// known of a contact can be kept by it; within one answer no ID comes twice.
	Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot
	// Curvature returns the principal curvatures (1/m), the larger first, at the surface's point nearest to p: positive where
	// the surface bulges outward, +Inf at sharp edges.
	Curvature(p orient.Vec3) (k1, k2 float64)
	// Moments returns the volume (m³) and the principal moments of inertia for a density of one (m⁵).
	Moments() (volume float64, perDensity orient.Vec3)
	// Extents returns half the lengths (m) of the smallest box along the own axes that holds the solid. The box' centre is
	// the centre of mass only where symmetry makes it so.
	Extents() orient.Vec3
	// Scaled returns the solid with all lengths multiplied by the factor, which must be positive and finite.
	Scaled(factor float64) Solid
	// Outline returns the surface as triangles, finer with more detail: about as many edges to a quarter turn.
	Outline(detail int) Mesh
}

// FootingMost is how many points a solid can bear on at once.
const FootingMost = 16

// Foot is a point that can bear on a plane.
type Foot struct {
	ID    int         // the feature, from 0
	Point orient.Vec3 // m, on the surface
}

// mostDetail bounds what an outline is asked for: 8·256² triangles.
const mostDetail = 256

// ball is a mesh of the unit sphere: an octahedron with n edges to each of its own, blown up.
func ball(n int) Mesh {
	n = min(max(n, 1), mostDetail)
	first := make([]int32, 2*n+2)
	mesh := Mesh{Vertices: make([]orient.Vec3, 0, 4*n*n+2), Triangles: make([][3]int32, 0, 8*n*n)}
	for i := range 2*n + 1 {
		first[i] = int32(len(mesh.Vertices))
		k := min(i, 2*n-i)
		if k == 0 {
			mesh.Vertices = append(mesh.Vertices, orient.Vec3{0, 0, float64(1 - i/n)})
			continue
		}
		for q := range 4 {
			for j := range k {
				v := orient.Vec3{float64(k - j), float64(j), 0}
				for range q {
					v[0], v[1] = -v[1], v[0]
				}
				v[2] = float64(n - i)
				mesh.Vertices = append(mesh.Vertices, v.Scale(1/v.Norm()))
			}
		}
	}
	at := func(i, q, j int) int32 {
		k := min(i, 2*n-i)
		if k == 0 {
			return first[i]
		}
		return first[i] + int32((q*k+j)%(4*k))
	}
	for i := range 2 * n {
		for q := range 4 {
			if i < n {
				for j := range i + 1 {
					mesh.Triangles = append(mesh.Triangles, [3]int32{at(i, q, j), at(i+1, q, j), at(i+1, q, j+1)})
					if j < i {
						mesh.Triangles = append(mesh.Triangles, [3]int32{at(i, q, j), at(i+1, q, j+1), at(i, q, j+1)})
					}
				}
				continue
			}
			for j := range 2*n - i {
				mesh.Triangles = append(mesh.Triangles, [3]int32{at(i, q, j), at(i+1, q, j), at(i, q, j+1)})
				if j < 2*n-i-1 {
					mesh.Triangles = append(mesh.Triangles, [3]int32{at(i+1, q, j), at(i+1, q, j+1), at(i, q, j+1)})
				}
			}
		}
	}
	return mesh
}

// curvatures are those of the level set of a function with the gradient g and the symmetric Hessian h (xx, yy, zz, xy, xz, yz):
// sum and product of the principal ones are the trace of h on the tangent plane and n·adj(h)·n, over |g| and |g|² (R. Goldman,
// "Curvature formulas for implicit curves and surfaces", 2005; from memory).
func curvatures(g orient.Vec3, h [6]float64) (k1, k2 float64) {
	size := g.Norm()
	n := g.Scale(1 / size)
	x, y, z := n[0], n[1], n[2]
	turn := orient.Vec3{h[0]*x + h[3]*y + h[4]*z, h[3]*x + h[1]*y + h[5]*z, h[4]*x + h[5]*y + h[2]*z}
	mean := (h[0] + h[1] + h[2] - n.Dot(turn)) / (2 * size)
	gauss := x*x*(h[1]*h[2]-h[5]*h[5]) + y*y*(h[0]*h[2]-h[4]*h[4]) + z*z*(h[0]*h[1]-h[3]*h[3]) +
		2*(x*y*(h[4]*h[5]-h[3]*h[2])+x*z*(h[3]*h[5]-h[4]*h[1])+y*z*(h[3]*h[4]-h[5]*h[0]))
	apart := math.Sqrt(max(mean*mean-gauss/(size*size), 0))
	k1 = mean + apart
	if k1 == 0 {
		return 0, mean - apart
	}
	// Not as a difference, which would lose the digits of a small one.
	return k1, min(k1, gauss/(size*size)/k1)
}
