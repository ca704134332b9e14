package successmap

import (
	"fmt"
	"math"
)

// Orientation error is modelled as isotropic diffusion on the rotations: the heat kernel, whose density with respect to
// uniform probability is Σ (2l+1)·e^{−l(l+1)t}·χ_l(ω) in the angle ω of the error, and which damps a function of degree
// l by e^{−l(l+1)t} (reference values: statistics checks 6.6). DESIGN.md eq. 9–10.

// meanSquareAngle returns E ω² (rad²) of the heat kernel at time t > 0, from
//
//	E ω² = Σ_l (2l+1)·e^{−l(l+1)t}·(J_l − J_{l+1})/π,  J_0 = π³/3,  J_k = 2π(−1)^k/k²
//
// since χ_l(ω)·(1−cos ω) = cos lω − cos (l+1)ω and J_k = ∫ω²·cos kω over 0…π. It tends to 6t for small t.
func meanSquareAngle(t float64) float64 {
	if t < 1e-6 {
		return 6 * t
	}
	j := func(k int) float64 {
		if k == 0 {
			return math.Pi * math.Pi * math.Pi / 3
		}
		v := 2 * math.Pi / float64(k*k)
		if k&1 == 1 {
			return -v
		}
		return v
	}
	sum := 0.0
	for l := 0; ; l++ {
		damp := math.Exp(-float64(l*(l+1)) * t)
		if damp < 1e-18 {
			return sum
		}
		sum += float64(2*l+1) * damp * (j(l) - j(l+1)) / math.Pi
	}
}

// maxBlur is the largest root-mean-square error angle (rad) that is accepted: completely random orientations have
// 131.8°, and near that the angle says nothing any more.
const maxBlur = 2.0

// HeatTime returns the time t of the heat kernel on rotations whose error has the root-mean-square angle (rad), 0 … 2: it
// damps functions of degree l by e^{−l(l+1)t}. It fails on an angle outside that range.
func HeatTime(angle float64) (float64, error) {
	if !(angle >= 0) || angle > maxBlur {
		return 0, fmt.Errorf("an orientation error of %.4g rad cannot be used; it must lie between 0 and %g rad (115°)", angle, maxBlur)
	}
	if angle == 0 {
		return 0, nil
	}
	low, high := math.Log(angle*angle/12), math.Log(10)
	for range 80 {
		mid := (low + high) / 2
		if meanSquareAngle(math.Exp(mid)) < angle*angle {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp((low + high) / 2), nil
}
