package shape

import (
	"math"

	"holdfast/orient"
)

// Polyhedron is the solid that a closed mesh encloses. Make it with [NewPolyhedron].
type Polyhedron struct {
	*facets
	scale float64 // what the facets' lengths are multiplied with
}

// facets are what sizes of one polyhedron share. Nothing in it changes.
type facets struct {
	vertices  []orient.Vec3 // m, in the solid's frame
	triangles [][3]int32    // in the order of the tree's leaves
	corners   [][3]orient.Vec3
	nodes     []node

	faceNormals   []orient.Vec3
	edgeNormals   [][3]orient.Vec3 // by triangle, on the edges 0–1, 1–2, 2–0; of any length
	vertexNormals []orient.Vec3    // of any length
	bends         [][2]float64     // 1/m, principal curvatures at the vertices, the larger first

	prominent []int32 // vertices that stand out, those first that are far from each other

	half, box orient.Vec3 // m, half lengths and centre of the box around it
	reach     float64
	volume    float64
	inertia   orient.Vec3
}

var _ Solid = (*Polyhedron)(nil)

// Fit says what was done to a mesh to make a solid of it.
type Fit struct {
	Origin   orient.Vec3     // m, the centre of mass in the mesh' own frame: where the solid's origin is
	Turn     orient.Rotation // from the solid's frame to the mesh' own
	Vertices int             // after welding
	Welded   int             // vertices that were taken for another one
	Dropped  int             // triangles left out, as welding made lines or double sheets of them
	Turned   int             // triangles that ran the wrong way round
	Parts    int             // pieces of surface that do not touch each other: bodies and hollows
}

// NewPolyhedron makes a solid of a mesh: vertices at one place are welded, the surface must be closed (or the error is a
// [*SeamError]), triangles are made to run outward, and the frame is moved to the centre of mass and turned to the principal axes.
// Surfaces that run through themselves are not found out.
func NewPolyhedron(mesh Mesh) (*Polyhedron, Fit, error) {
	if err := mesh.check(); err != nil {
		return nil, Fit{}, err
	}
	var fit Fit
	mesh, fit.Welded, fit.Dropped = mesh.welded()
	if err := mesh.check(); err != nil {
		return nil, Fit{}, err
	}
	across, err := mesh.neighbours()
	if err != nil {
		return nil, Fit{}, err
	}
	if fit.Turned, fit.Parts, err = mesh.oriented(across); err != nil {
		return nil, Fit{}, err
	}
	volume, centre, inertia := mesh.mass()
	axes, moments := principal(inertia)
	for i, v := range mesh.Vertices {
		v = sub(v, centre)
		mesh.Vertices[i] = orient.Vec3{axes[0].Dot(v), axes[1].Dot(v), axes[2].Dot(v)}
	}
	fit.Origin, fit.Vertices = centre, len(mesh.Vertices)
	var m [3][3]float64
	for k, e := range axes {
		m[0][k], m[1][k], m[2][k] = e[0], e[1], e[2]
	}
	fit.Turn = orient.FromMatrix(m)
	f := &facets{vertices: mesh.Vertices, volume: volume, inertia: moments}
	f.settle(mesh.Triangles)
	return &Polyhedron{f, 1}, fit, nil
}

// farthest is the vertex that lies farthest along the direction.
func (f *facets) farthest(d orient.Vec3) int32 {
	var stack [stackMost]int32
	depth := 1
	best, most := f.triangles[0][0], math.Inf(-1)
	for depth > 0 {
		depth--
		at := stack[depth]
		n := &f.nodes[at]
		if n.reaches(&d) <= most {
			continue
		}
		if n.count > 0 {
			for i := n.first; i < n.first+n.count; i++ {
				for k, c := range &f.corners[i] {
					if v := c[0]*d[0] + c[1]*d[1] + c[2]*d[2]; v > most {
						best, most = f.triangles[i][k], v
					}
				}
			}
			continue
		}
		near, far := at+1, n.far
		if f.nodes[near].reaches(&d) < f.nodes[far].reaches(&d) {
			near, far = far, near
		}
		stack[depth], stack[depth+1] = far, near
		depth += 2
	}
	return best
}

// nearestTo is the surface's place nearest to p: on which triangle and what of it.
func (f *facets) nearestTo(p orient.Vec3) (place orient.Vec3, triangle int32, on int8, square float64) {
	var stack [stackMost]struct {
		at    int32
		bound float64
	}
	depth := 1
	square = math.Inf(1)
	for depth > 0 {
		depth--
		if stack[depth].bound >= square {
			continue
		}
		at := stack[depth].at
		n := &f.nodes[at]
		if n.count > 0 {
			for i := n.first; i < n.first+n.count; i++ {
				x, y, z, o := onTriangle(&p, &f.corners[i])
				dx, dy, dz := p[0]-x, p[1]-y, p[2]-z
				if s := dx*dx + dy*dy + dz*dz; s < square {
					place[0], place[1], place[2], triangle, on, square = x, y, z, i, o, s
				}
			}
			continue
		}
		near, far := at+1, n.far
		b, c := f.nodes[near].from(&p), f.nodes[far].from(&p)
		if b > c {
			near, far, b, c = far, near, c, b
		}
		stack[depth].at, stack[depth].bound = far, c
		stack[depth+1].at, stack[depth+1].bound = near, b
		depth += 2
	}
	return place, triangle, on, square
}

// normalOn is the normal, of any length, that tells inside from outside at a place of a triangle.
func (f *facets) normalOn(triangle int32, on int8) orient.Vec3 {
	switch {
	case on >= onCorner:
		return f.vertexNormals[f.triangles[triangle][on-onCorner]]
	case on >= onEdge:
		return f.edgeNormals[triangle][on-onEdge]
	}
	return f.faceNormals[triangle]
}

// touching is how near (as a share of the reach) a point is to the surface when the way to it gives no normal.
const touching = 1e-9

// near makes an answer of the surface's place nearest to p.
func (f *facets) near(p, place orient.Vec3, triangle int32, on int8, square float64) Near {
	pseudo := f.normalOn(triangle, on)
	way := sub(p, place)
	d := math.Sqrt(square)
	n := Near{Point: place, Distance: d}
	if way.Dot(pseudo) < 0 {
		n.Distance = -d
	}
	if d > touching*f.reach {
		n.Normal = way.Scale(1 / n.Distance)
	} else if size := pseudo.Norm(); size > 0 {
		n.Normal = pseudo.Scale(1 / size)
	} else {
		n.Normal = orient.Vec3{0, 0, 1}
	}
	return n
}

func (f *facets) point(p orient.Vec3) Near {
	place, triangle, on, square := f.nearestTo(p)
	return f.near(p, place, triangle, on, square)
}

// grown returns an answer at the solid's size.
func (n Near) grown(scale float64) Near {
	n.Point, n.Distance = n.Point.Scale(scale), n.Distance*scale
	return n
}

// Point is exact.
func (p *Polyhedron) Point(q orient.Vec3) Near { return p.point(q.Scale(1 / p.scale)).grown(p.scale) }

// Segment is exact outside. A segment that cuts the surface is searched for its deepest place, by the distance growing no faster
// than the way, and then between the neighbours of the best place found.
func (p *Polyhedron) Segment(a, b orient.Vec3) Near {
	return p.segment(a.Scale(1/p.scale), b.Scale(1/p.scale)).grown(p.scale)
}

// Apart asks the box around the solid, and then the plane that touches the solid where an ellipsoid as large as that box would face
// the segment.
func (p *Polyhedron) Apart(a, b orient.Vec3) float64 {
	centre, half := p.box.Scale(p.scale), p.half.Scale(p.scale)
	a, b = sub(a, centre), sub(b, centre)
	around := Box{Half: half}.Apart(a, b)
	n := a.Add(sub(b, a).Scale(middle(a, b, half)))
	for i, h := range half {
		n[i] /= h * h
	}
	if n == (orient.Vec3{}) {
		return around
	}
	n = n.Scale(1 / n.Norm())
	return max(around, min(n.Dot(a), n.Dot(b))-n.Dot(sub(p.Support(n), centre)))
}

// Support returns the vertex that lies farthest along the direction.
func (p *Polyhedron) Support(direction orient.Vec3) orient.Vec3 {
	return p.vertices[p.farthest(direction)].Scale(p.scale)
}

// Reach returns the way to the vertex farthest from the centre of mass.
func (p *Polyhedron) Reach() float64 { return p.reach * p.scale }

// Footing appends the farthest vertex and those that stand out and lie within the depth, well spread where there are too many. The
// ID is the vertex' number.
func (p *Polyhedron) Footing(direction orient.Vec3, depth float64, dst []Foot) []Foot {
	lowest := p.farthest(direction)
	level := p.vertices[lowest].Dot(direction) - depth/p.scale
	dst = append(dst, Foot{ID: int(lowest), Point: p.vertices[lowest].Scale(p.scale)})
	feet := 1
	for _, i := range p.prominent {
		v := &p.vertices[i]
		if v[0]*direction[0]+v[1]*direction[1]+v[2]*direction[2] >= level && i != lowest {
			dst = append(dst, Foot{ID: int(i), Point: v.Scale(p.scale)})
			if feet++; feet == FootingMost {
				break
			}
		}
	}
	return dst
}

// Curvature is an estimate: between those at the corners of the triangle nearest to q, which are exact where the mesh is one of a
// ball.
func (p *Polyhedron) Curvature(q orient.Vec3) (k1, k2 float64) {
	place, i, _, _ := p.nearestTo(q.Scale(1 / p.scale))
	c, t := &p.corners[i], p.triangles[i]
	normal := sub(c[1], c[0]).Cross(sub(c[2], c[0]))
	all := normal.Dot(normal)
	if all == 0 {
		return p.bends[t[0]][0] / p.scale, p.bends[t[0]][1] / p.scale
	}
	for k := range 3 {
		share := normal.Dot(sub(c[(k+1)%3], place).Cross(sub(c[(k+2)%3], place))) / all
		k1 += share * p.bends[t[k]][0]
		k2 += share * p.bends[t[k]][1]
	}
	return k1 / p.scale, k2 / p.scale
}

// Moments were summed over the triangles.
func (p *Polyhedron) Moments() (volume float64, perDensity orient.Vec3) {
	cube := p.scale * p.scale * p.scale
	return p.volume * cube, p.inertia.Scale(cube * p.scale * p.scale)
}

// Extents returns half the lengths of the box around the vertices.
func (p *Polyhedron) Extents() orient.Vec3 { return p.half.Scale(p.scale) }

// Scaled returns the solid with all lengths multiplied by the factor; both share what does not change.
func (p *Polyhedron) Scaled(factor float64) Solid { return &Polyhedron{p.facets, p.scale * factor} }

// Outline returns the mesh as it is, whatever the detail.
func (p *Polyhedron) Outline(int) Mesh {
	mesh := Mesh{Vertices: make([]orient.Vec3, len(p.vertices)), Triangles: make([][3]int32, len(p.triangles))}
	for i, v := range p.vertices {
		mesh.Vertices[i] = v.Scale(p.scale)
	}
	copy(mesh.Triangles, p.triangles)
	return mesh
}
