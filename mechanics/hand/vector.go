package hand

import "math"

// Vec is a vector or a point; its frame is what the context names. A struct of three numbers stays in registers, where an
// array would not, and the chain's recursions live on that.
type Vec struct{ X, Y, Z float64 }

// Add returns v + u.
func (v Vec) Add(u Vec) Vec { return Vec{v.X + u.X, v.Y + u.Y, v.Z + u.Z} }

// Sub returns v − u.
func (v Vec) Sub(u Vec) Vec { return Vec{v.X - u.X, v.Y - u.Y, v.Z - u.Z} }

// Scale returns s·v.
func (v Vec) Scale(s float64) Vec { return Vec{s * v.X, s * v.Y, s * v.Z} }

// Dot returns the scalar product.
func (v Vec) Dot(u Vec) float64 { return v.X*u.X + v.Y*u.Y + v.Z*u.Z }

// Cross returns the vector product v × u.
func (v Vec) Cross(u Vec) Vec {
	return Vec{v.Y*u.Z - v.Z*u.Y, v.Z*u.X - v.X*u.Z, v.X*u.Y - v.Y*u.X}
}

// Norm returns the length of v.
func (v Vec) Norm() float64 { return math.Sqrt(v.Dot(v)) }

func (v Vec) finite() bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// Turn is a rotation as the images of the three axes: X is where the turned frame's x axis points, and so on.
type Turn struct{ X, Y, Z Vec }

// Unturned leaves every vector as it is.
var Unturned = Turn{Vec{1, 0, 0}, Vec{0, 1, 0}, Vec{0, 0, 1}}

// TurnAbout returns the rotation by angle (rad, right-handed) about a unit axis.
func TurnAbout(axis Vec, angle float64) Turn {
	sin, cos := math.Sincos(angle)
	return Unturned.turned(axis, axis, sin, cos)
}

// Apply returns what v in the turned frame is outside it.
func (t *Turn) Apply(v Vec) Vec {
	return Vec{
		t.X.X*v.X + t.Y.X*v.Y + t.Z.X*v.Z,
		t.X.Y*v.X + t.Y.Y*v.Y + t.Z.Y*v.Z,
		t.X.Z*v.X + t.Y.Z*v.Y + t.Z.Z*v.Z,
	}
}

// Back returns what v outside the turned frame is inside it.
func (t *Turn) Back(v Vec) Vec { return Vec{t.X.Dot(v), t.Y.Dot(v), t.Z.Dot(v)} }

// turned turns a frame further about an axis that is local in the frame and world outside it, by the angle of the sine and
// cosine. The axis keeps its components under its own rotation, so each column needs one cross product (Rodrigues' formula,
// from memory).
func (t *Turn) turned(local, world Vec, sin, cos float64) Turn {
	rest := 1 - cos
	x := t.X.Scale(cos).Add(world.Cross(t.X).Scale(sin)).Add(world.Scale(rest * local.X))
	y := t.Y.Scale(cos).Add(world.Cross(t.Y).Scale(sin)).Add(world.Scale(rest * local.Y))
	return Turn{x, y, x.Cross(y)}
}

// Inertia is the symmetric inertia tensor of a body, kg m². XY, XZ, YZ are the tensor's entries, the negatives of the
// products of inertia.
type Inertia struct{ XX, YY, ZZ, XY, XZ, YZ float64 }

// apply returns the tensor times w.
func (i *Inertia) apply(w Vec) Vec {
	return Vec{i.XX*w.X + i.XY*w.Y + i.XZ*w.Z, i.XY*w.X + i.YY*w.Y + i.YZ*w.Z, i.XZ*w.X + i.YZ*w.Y + i.ZZ*w.Z}
}

// seen returns the tensor of a body, given in its own frame, in the frame outside: R·I·Rᵀ.
func (i *Inertia) seen(t *Turn) Inertia {
	// The columns of R·I are the combinations of R's columns.
	a := t.X.Scale(i.XX).Add(t.Y.Scale(i.XY)).Add(t.Z.Scale(i.XZ))
	b := t.X.Scale(i.XY).Add(t.Y.Scale(i.YY)).Add(t.Z.Scale(i.YZ))
	c := t.X.Scale(i.XZ).Add(t.Y.Scale(i.YZ)).Add(t.Z.Scale(i.ZZ))
	return Inertia{
		XX: a.X*t.X.X + b.X*t.Y.X + c.X*t.Z.X,
		YY: a.Y*t.X.Y + b.Y*t.Y.Y + c.Y*t.Z.Y,
		ZZ: a.Z*t.X.Z + b.Z*t.Y.Z + c.Z*t.Z.Z,
		XY: a.X*t.X.Y + b.X*t.Y.Y + c.X*t.Z.Y,
		XZ: a.X*t.X.Z + b.X*t.Y.Z + c.X*t.Z.Z,
		YZ: a.Y*t.X.Z + b.Y*t.Y.Z + c.Y*t.Z.Z,
	}
}

// physical says whether a body can have the tensor: none of the principal moments negative or above the sum of the others.
func (i *Inertia) physical() bool {
	for _, v := range [...]float64{i.XX, i.YY, i.ZZ, i.XY, i.XZ, i.YZ} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	// ½tr(I)·1 − I is the second moment of mass, which is positive semidefinite just when the triangle rule holds.
	half := (i.XX + i.YY + i.ZZ) / 2
	return semidefinite(half-i.XX, half-i.YY, half-i.ZZ, -i.XY, -i.XZ, -i.YZ, 1e-9*half)
}

// semidefinite tests a symmetric 3×3 matrix by all its principal minors, with an allowance for rounding on its entries.
func semidefinite(a, b, c, ab, ac, bc, slack float64) bool {
	if a < -slack || b < -slack || c < -slack {
		return false
	}
	size := slack + a + b + c
	if a*b-ab*ab < -slack*size || a*c-ac*ac < -slack*size || b*c-bc*bc < -slack*size {
		return false
	}
	return a*(b*c-bc*bc)-ab*(ab*c-bc*ac)+ac*(ab*bc-b*ac) >= -slack*size*size
}
