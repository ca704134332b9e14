package shape

import (
	"math"

	"holdfast/orient"
)

// asideShare is how far (as a share of the reach) beside a contact the normal is asked for, to learn which way the surface bends most.
const asideShare = 1e-4

// RelativeCurvature returns the principal relative curvatures (1/m), the larger first, of the side of a capsule of the radius (m)
// whose middle line runs along the unit axis, against the solid at its surface's point with the outward unit normal: those of the gap
// between both,
//
//	gap ≈ (k₁x² + k₂y²)/2                                                                                     (9)
//
// as Hertz' theory of elliptical contacts starts from (K. L. Johnson, "Contact mechanics", 1985, eq. 4.3 f.; from memory): 1/k₁ and
// 1/k₂ are his R′ and R″, 1/√(k₁k₂) his equivalent radius. A k₂ of 0 is a line of contact, below 0 the capsule touches at more than one place. The
// solid's own curvatures are exact where [Solid.Curvature] is; the way in which it bends most is found from the normals beside the
// point. Sharp edges give +Inf.
func RelativeCurvature(s Solid, point, normal, axis orient.Vec3, radius float64) (k1, k2 float64) {
	own1, own2 := s.Curvature(point)
	u := axis.Add(normal.Scale(-axis.Dot(normal)))
	along := u.Norm()
	if along < 1e-6 {
		// End on: a ball.
		return own1 + 1/radius, own2 + 1/radius
	}
	u = u.Scale(1 / along)
	v := normal.Cross(u)
	// A capsule that does not lie flat touches with its ball; its side is bent across only.
	side := 1 / radius
	if math.IsInf(own1, 0) || own1 == own2 {
		return bent(own1, own2, side, 0)
	}
	h := asideShare * s.Reach()
	bend := func(d orient.Vec3) orient.Vec3 {
		return sub(s.Point(point.Add(d.Scale(h))).Normal, s.Point(point.Add(d.Scale(-h))).Normal)
	}
	du, dv := bend(u), bend(v)
	// Twice the angle from the axis to where the solid bends most.
	return bent(own1, own2, side, math.Atan2(du.Dot(v)+dv.Dot(u), du.Dot(u)-dv.Dot(v)))
}

// bent adds curvatures a, b, whose larger one's direction lies at half the angle from the axis, to one of side square to the axis.
func bent(a, b, side, twice float64) (k1, k2 float64) {
	if math.IsInf(a, 0) {
		return a, b
	}
	sin, cos := math.Sincos(twice)
	// Sum and difference of the principal ones: those of two deviators at right angles on the double angle.
	mean, apart := (a+b+side)/2, math.Hypot((a-b)/2*cos-side/2, (a-b)/2*sin)
	return mean + apart, mean - apart
}
