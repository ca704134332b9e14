package shape

import (
	"holdfast/orient"
)

// Pair is where two segments are nearest to each other.
type Pair struct {
	First, Second orient.Vec3 // m
	Along, Beside float64     // from 0 to 1 on the first and on the second
	Distance      float64     // m
}

// Segments returns where the segments a0–a1 and b0–b1 are nearest. Of parallel ones with many nearest pairs it gives the one
// in the middle of the stretch that they share, so that a contact between parallel fingers does not jump from end to end.
// A segment of no length is a point.
func Segments(a0, a1, b0, b1 orient.Vec3) Pair {
	u, v, w := sub(a1, a0), sub(b1, b0), sub(a0, b0)
	uu, uv, vv, uw, vw := u.Dot(u), u.Dot(v), v.Dot(v), u.Dot(w), v.Dot(w)
	if uu == 0 && vv == 0 {
		return pair(a0, u, b0, v, 0, 0)
	}
	if uu == 0 {
		return pair(a0, u, b0, v, 0, clamp(vw/vv))
	}
	if vv == 0 {
		return pair(a0, u, b0, v, clamp(-uw/uu), 0)
	}
	if across := uu*vv - uv*uv; across > 1e-14*uu*vv {
		s := clamp((uv*vw - vv*uw) / across)
		t := clamp((uv*s + vw) / vv)
		return pair(a0, u, b0, v, clamp((uv*t-uw)/uu), t)
	}
	// Parallel: where the second's ends fall on the first.
	from, to := -uw/uu, (uv-uw)/uu
	low, high := max(0, min(from, to)), min(1, max(from, to))
	s := clamp((low + high) / 2)
	if low > high {
		s = clamp(low)
	}
	return pair(a0, u, b0, v, s, clamp((uv*s+vw)/vv))
}

func pair(a0, u, b0, v orient.Vec3, s, t float64) Pair {
	p := Pair{First: a0.Add(u.Scale(s)), Second: b0.Add(v.Scale(t)), Along: s, Beside: t}
	p.Distance = sub(p.First, p.Second).Norm()
	return p
}

func clamp(x float64) float64 { return min(1, max(0, x)) }

func sub(a, b orient.Vec3) orient.Vec3 { return orient.Vec3{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
