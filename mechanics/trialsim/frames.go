package trialsim

import (
	"math"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

func vec(v orient.Vec3) hand.Vec { return hand.Vec{X: v[0], Y: v[1], Z: v[2]} }

func sub(a, b orient.Vec3) orient.Vec3 { return orient.Vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

// turnOf is the rotation as the images of the axes.
func turnOf(r orient.Rotation) hand.Turn {
	m := r.Matrix()
	return hand.Turn{X: hand.Vec{X: m[0][0], Y: m[1][0], Z: m[2][0]}, Y: hand.Vec{X: m[0][1], Y: m[1][1], Z: m[2][1]}, Z: hand.Vec{X: m[0][2], Y: m[1][2], Z: m[2][2]}}
}

// compose is the turn that acts with inner first.
func compose(outer hand.Turn, inner *hand.Turn) hand.Turn {
	return hand.Turn{X: outer.Apply(inner.X), Y: outer.Apply(inner.Y), Z: outer.Apply(inner.Z)}
}

// spinBetween is the constant spin (rad/s, world) that turns the one into the other within h seconds.
func spinBetween(a, b orient.Rotation, h float64) orient.Vec3 {
	d := b.Mul(a.Inverse())
	if d.W < 0 {
		d = orient.Rotation{W: -d.W, X: -d.X, Y: -d.Y, Z: -d.Z}
	}
	axis := orient.Vec3{d.X, d.Y, d.Z}
	size := axis.Norm()
	if size == 0 {
		return orient.Vec3{}
	}
	return axis.Scale(2 * math.Atan2(size, d.W) / size / h)
}
