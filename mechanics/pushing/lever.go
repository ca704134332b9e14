package pushing

import "math"

// DragForce returns the force (N) with which a finger must press from above on an item of weight w (N) to drag it, with the friction
// coefficients of finger and support: μ_t·W/(μ_f − μ_t). +Inf when the finger slips however hard it presses.
func DragForce(finger, support, w float64) float64 {
	if finger <= support {
		return math.Inf(1)
	}
	return support * w / (finger - support)
}

// TippingOverhang returns how far (m) a block of the given length (m) and weight (N) may stand out over an edge before it tips, pressed
// with a force (N) at a distance (m) inside the edge: L/2 + F·x/W.
func TippingOverhang(length, w, force, inside float64) float64 { return length/2 + force*inside/w }

// LiftAtWall returns the vertical force (N) near one edge of a block of width b and height h (m) that begins to lift it, its far lower
// corner on the table, its far upper corner at a smooth wall, with the friction coefficient of the lifting finger:
// W(b/2 + μh)/(b + μh) (derived from the balance of moments).
func LiftAtWall(b, h, mu, w float64) float64 { return w * (b/2 + mu*h) / (b + mu*h) }

// WedgePush returns the push (N) that drives a wedge-shaped finger of the angle alpha (rad) under an edge on which the load (N) rests,
// and the thrust (N) with which the item is driven away, for the friction coefficients above the finger and below it:
// P = V(tan(α + φ₁) + tan φ₂), thrust V·tan(α + φ₁) (elementary wedge).
func WedgePush(alpha, above, below, load float64) (push, thrust float64) {
	thrust = load * math.Tan(alpha+math.Atan(above))
	return thrust + load*below, thrust
}

// WedgeAtWall returns the load (N) on the wedge and its push (N) when the item, whose edge bears the load w (N), is held by a rough wall:
// V = W/(1 − μ_w·tan(α + φ₁)). Both are +Inf where it jams.
func WedgeAtWall(alpha, above, below, wall, w float64) (load, push float64) {
	give := 1 - wall*math.Tan(alpha+math.Atan(above))
	if give <= 0 {
		return math.Inf(1), math.Inf(1)
	}
	load = w / give
	push, _ = WedgePush(alpha, above, below, load)
	return load, push
}

// StepForce returns the horizontal force (N) at centre height that brings a ball of radius r (m) and weight w (N) over a step of height
// h (m): W·√(2rh − h²)/(r − h); +Inf for a step as high as the radius.
func StepForce(r, h, w float64) float64 {
	if h >= r {
		return math.Inf(1)
	}
	return w * math.Sqrt(2*r*h-h*h) / (r - h)
}
