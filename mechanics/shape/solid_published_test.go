package shape

import (
	"math"
	"testing"

	"holdfast/orient"
)

// Moments in closed form, from memory: for m the volume, box m(b² + c²)/3 by half lengths; cylinder mr²/2 and m(3r² + h²)/12;
// cone 3mr²/10 and 3m(4r² + h²)/80; ball 2mr²/5; hemispheres of a capsule 83mr²/320 about their own centre of mass, which
// lies 3r/8 from their flat; frustum 3m(R⁵ − r⁵)/(10(R³ − r³)).
func TestMomentsOfSimpleSolids(t *testing.T) {
	const r, h = 0.03, 0.05
	cylinder, cone := math.Pi*r*r*h, math.Pi*r*r*h/3
	ball, half := 4*math.Pi/3*r*r*r, 2*math.Pi/3*r*r*r
	long := math.Pi * r * r * h // of the capsule's middle
	off := h/2 + 3.*r/8
	frustum := math.Pi * h / 3 * (r*r + r*r/2 + r*r/4)
	for _, c := range []struct {
		name    string
		s       Solid
		volume  float64
		inertia orient.Vec3 // 0: not compared
	}{
		{"box", must(NewBox(orient.Vec3{0.02, 0.03, 0.04}, 0)), 8 * 24e-6, orient.Vec3{0.0025, 0.002, 0.0013}.Scale(8 * 24e-6 / 3)},
		{"box that is a ball", must(NewBox(orient.Vec3{r, r, r}, r)), ball, orient.Vec3{1, 1, 1}.Scale(0.4 * ball * r * r)},
		{"box that is a capsule", must(NewBox(orient.Vec3{h/2 + r, r, r}, r)), long + ball,
			orient.Vec3{long*r*r/2 + 0.4*ball*r*r, 0, long*(3*r*r+h*h)/12 + 2*half*(83*r*r/320+off*off)}},
		{"cylinder", must(NewCylinder(r, h/2, 0)), cylinder, orient.Vec3{(3*r*r + h*h) / 12, (3*r*r + h*h) / 12, r * r / 2}.Scale(cylinder)},
		{"cylinder that is a capsule", must(NewCylinder(r, h/2+r, r)), long + ball,
			orient.Vec3{long*(3*r*r+h*h)/12 + 2*half*(83*r*r/320+off*off), 0, long*r*r/2 + 0.4*ball*r*r}},
		{"cone", must(NewFrustum(r, 0, h, 0)), cone, orient.Vec3{3 * (4*r*r + h*h) / 80, 3 * (4*r*r + h*h) / 80, 3 * r * r / 10}.Scale(cone)},
		{"frustum", must(NewFrustum(r/2, r, h, 0)), frustum, orient.Vec3{0, 0, 3. / 10 * (1 - 1./32) / (1 - 1./8) * frustum * r * r}},
		{"ball", Ellipsoid{orient.Vec3{r, r, r}}, ball, orient.Vec3{1, 1, 1}.Scale(0.4 * ball * r * r)},
	} {
		v, i := c.s.Moments()
		if math.Abs(v/c.volume-1) > 1e-12 {
			t.Errorf("%s: volume %g, want %g", c.name, v, c.volume)
		}
		for k, want := range c.inertia {
			if want != 0 && math.Abs(i[k]/want-1) > 1e-12 {
				t.Errorf("%s: inertia %v, want %v", c.name, i, c.inertia)
			}
		}
	}
}

// Steiner's formula (from memory): what lies within r of a convex body holds V + rS + r²M + 4πr³/3, M being 2π times the mean
// width: for a box of edges a, b, c π(a + b + c), for a cylinder of radius R and height h π(πR + h).
func TestRoundedSolidsHoldWhatSteinerSays(t *testing.T) {
	a, b, c, r := 0.03, 0.04, 0.06, 0.007
	v, _ := must(NewBox(orient.Vec3{a/2 + r, b/2 + r, c/2 + r}, r)).Moments()
	if want := a*b*c + 2*r*(a*b+b*c+c*a) + math.Pi*r*r*(a+b+c) + 4*math.Pi/3*r*r*r; math.Abs(v/want-1) > 1e-12 {
		t.Errorf("box: %g, want %g", v, want)
	}
	v, _ = must(NewCylinder(a+r, b/2+r, r)).Moments()
	if want := math.Pi*a*a*b + r*2*math.Pi*a*(a+b) + math.Pi*r*r*(math.Pi*a+b) + 4*math.Pi/3*r*r*r; math.Abs(v/want-1) > 1e-12 {
		t.Errorf("cylinder: %g, want %g", v, want)
	}
}

// A cone's centre of mass lies a quarter of its height above the base.
func TestConesStandOnTheirBase(t *testing.T) {
	cone := must(NewFrustum(0.03, 0, 0.08, 0))
	if low := cone.Support(orient.Vec3{0, 0, -1})[2]; math.Abs(low+0.02) > 1e-12 {
		t.Errorf("base at %g", low)
	}
	if high := cone.Support(orient.Vec3{0, 0, 1})[2]; math.Abs(high-0.06) > 1e-12 {
		t.Errorf("tip at %g", high)
	}
}

// A. Jaklič and F. Solina, "Moments of superellipsoids and their application to range image registration", 2003, from memory:
// V = 2abc·ε₁ε₂·B(ε₁/2 + 1, ε₁)·B(ε₂/2, ε₂/2), I_zz = abc·ε₁ε₂/2·(a² + b²)·B(3ε₂/2, ε₂/2)·B(ε₁/2, 2ε₁ + 1) and
// I_xx = abc·ε₁ε₂/2·(b²·B(3ε₂/2, ε₂/2)·B(ε₁/2, 2ε₁ + 1) + 4c²·B(ε₂/2, ε₂/2 + 1)·B(3ε₁/2, ε₁ + 1)).
func TestMomentsOfSuperellipsoids(t *testing.T) {
	beta := func(x, y float64) float64 { return math.Gamma(x) * math.Gamma(y) / math.Gamma(x+y) }
	const a, b, c = 0.03, 0.04, 0.05
	for _, e := range [][2]float64{{1, 1}, {0.1, 1}, {1, 0.1}, {0.5, 0.7}, {0.3, 0.2}} {
		v, i := must(NewSuperellipsoid(orient.Vec3{a, b, c}, e[0], e[1])).Moments()
		want := 2 * a * b * c * e[0] * e[1] * beta(e[0]/2+1, e[0]) * beta(e[1]/2, e[1]/2)
		front := a * b * c * e[0] * e[1] / 2
		flat := beta(3*e[1]/2, e[1]/2) * beta(e[0]/2, 2*e[0]+1)
		zz := front * (a*a + b*b) * flat
		xx := front * (b*b*flat + 4*c*c*beta(e[1]/2, e[1]/2+1)*beta(3*e[0]/2, e[0]+1))
		if math.Abs(v/want-1) > 1e-12 || math.Abs(i[2]/zz-1) > 1e-12 || math.Abs(i[0]/xx-1) > 1e-12 {
			t.Errorf("%v: %g %v, want %g [%g _ %g]", e, v, i, want, xx, zz)
		}
	}
}

// Pappus: a segment of a torus holds the tube's section times the way of its centre; with a ball at its ends. The torus' own
// moments about its axis are m(4R² + 3r²)/4 (from memory); a short piece's share of it is that of its angle.
func TestMomentsOfATorusSegment(t *testing.T) {
	const ring, angle, r = 0.05, 1.1, 0.015
	s := must(NewCrescent(ring, angle, r, r))
	v, i := s.Moments()
	roll, ball := math.Pi*r*r*2*angle*ring, 4*math.Pi/3*r*r*r
	if math.Abs(v/(roll+ball)-1) > 1e-12 {
		t.Errorf("volume %g, want %g", v, roll+ball)
	}
	// About the circle's axis: the roll as the torus; each half ball from its own centre of mass, 3r/8 along the arc's tangent.
	half := ball / 2
	about := roll*(4*ring*ring+3*r*r)/4 + 2*half*(2*r*r/5+ring*ring)
	// The centre of mass: of the roll sin α/α·(R + r²/(4R)), of the half balls R·cos α − 3r/8·sin α.
	centre := (roll*math.Sin(angle)/angle*(ring+r*r/(4*ring)) + ball*(ring*math.Cos(angle)-3*r/8*math.Sin(angle))) / v
	if math.Abs(s.centre/centre-1) > 1e-12 {
		t.Errorf("centre of mass %g from the circle's, want %g", s.centre, centre)
	}
	if want := about - v*centre*centre; math.Abs(i[2]/want-1) > 1e-10 {
		t.Errorf("inertia %g, want %g", i[2], want)
	}
}

// Cylinders in contact, K. L. Johnson 1985, ch. 4 (from memory): crossed at right angles 1/r and 1/R, alongside 1/r + 1/R and nothing;
// between, sum and difference follow from the angle ω between the axes:
// k₁ + k₂ = 1/r + 1/R, (k₁ − k₂)² = 1/r² + 1/R² + 2cos 2ω/(rR).
func TestRelativeCurvatureOfCylinders(t *testing.T) {
	const big, r = 0.04, 0.008
	s := must(NewCylinder(big, 0.05, 0.002))
	point, normal := orient.Vec3{big, 0, 0.003}, orient.Vec3{1, 0, 0}
	for _, omega := range []float64{0, 0.3, math.Pi / 4, 1.2, math.Pi / 2} {
		sin, cos := math.Sincos(omega)
		k1, k2 := RelativeCurvature(s, point, normal, orient.Vec3{0, sin, cos}, r)
		apart := math.Sqrt(1/(r*r) + 1/(big*big) + 2*math.Cos(2*omega)/(r*big))
		if math.Abs(k1+k2-1/r-1/big) > 1e-9 || math.Abs(k1-k2-apart) > 1e-6 {
			t.Errorf("at %g rad: %g and %g, want a difference of %g", omega, k1, k2, apart)
		}
	}
	// On a flat the capsule's own is left, at its end both ways.
	if k1, k2 := RelativeCurvature(s, orient.Vec3{0.01, 0, 0.05}, orient.Vec3{0, 0, 1}, orient.Vec3{1, 0, 0}, r); math.Abs(k1-1/r) > 1e-9 || math.Abs(k2) > 1e-9 {
		t.Errorf("on a flat: %g and %g", k1, k2)
	}
	if k1, k2 := RelativeCurvature(s, orient.Vec3{0.01, 0, 0.05}, orient.Vec3{0, 0, 1}, orient.Vec3{0, 0, 1}, r); math.Abs(k1-1/r)+math.Abs(k2-1/r) > 1e-9 {
		t.Errorf("end on: %g and %g", k1, k2)
	}
}
