//go:build reference

package shape

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"

	"holdfast/orient"
)

// scipyShapes knows the solids by their definitions only: the superellipsoid by Barr's two angles, the frustum and the box as all
// balls within the sharp one, the crescent as all balls along its arc. It asks scipy's general minimisers for the least way from a
// segment (or point) to them, from several starts.
const scipyShapes = `
import json, sys, numpy as np
from scipy.optimize import minimize, minimize_scalar
rng = np.random.default_rng(1)
spow = lambda x, e: np.sign(x) * np.abs(x) ** e
out = []
for q in json.load(sys.stdin):
    m, a, b = q["Measures"], np.array(q["A"]), np.array(q["B"])
    best = np.inf
    if q["Kind"] == "superellipsoid":
        semi, e1, e2 = np.array(m[:3]), m[3], m[4]
        def at(u):
            ce, se, co, so = np.cos(u[0]), np.sin(u[0]), np.cos(u[1]), np.sin(u[1])
            return semi * np.array([spow(ce, e1) * spow(co, e2), spow(ce, e1) * spow(so, e2), spow(se, e1)])
        def cost(u):
            t = 0.5 - 0.5 * np.cos(u[2])
            return np.sum((at(u) - a - t * (b - a)) ** 2) * 1e4
        for k in range(14):
            u = np.array([rng.uniform(-1.5, 1.5), rng.uniform(-3.1, 3.1), rng.uniform(0, 3.1)])
            r = minimize(cost, u, method="Nelder-Mead", options=dict(xatol=1e-12, fatol=1e-18, maxiter=3000, maxfev=3000))
            best = min(best, r.fun)
        for k in range(4):
            r = minimize(cost, r.x, method="Nelder-Mead", options=dict(xatol=1e-13, fatol=1e-20, maxiter=3000, maxfev=3000))
            best = min(best, r.fun)
        best = np.sqrt(best / 1e4)
    elif q["Kind"] == "crescent":
        ring, angle, thick, tip, centre = m
        def gap(th):
            c = np.array([ring * np.cos(th) - centre, ring * np.sin(th), 0])
            t = np.clip(np.dot(c - a, b - a) / max(np.dot(b - a, b - a), 1e-30), 0, 1)
            return np.linalg.norm(a + t * (b - a) - c) - (thick - (thick - tip) * (th / angle) ** 2)
        grid = np.linspace(-angle, angle, 1001)
        val = [gap(th) for th in grid]
        k = int(np.argmin(val))
        r = minimize_scalar(gap, bounds=(grid[max(k - 1, 0)], grid[min(k + 1, 1000)]), method="bounded", options=dict(xatol=1e-12))
        best = min(r.fun, min(val))
    else:
        rounding = m[-1]
        if q["Kind"] == "box":
            half = np.array(m[:3])
            cons = [dict(type="ineq", fun=lambda x: 1e2 * np.r_[half - rounding - x[:3], half - rounding + x[:3]])]
        else:
            bottom, top, height, low = m[:4]
            side = np.hypot(height, bottom - top)
            def inside(x):
                z = x[2] - low
                # From the cone's side, from bottom and top.
                off = ((bottom + (top - bottom) * z / height) - np.sqrt(x[0] ** 2 + x[1] ** 2 + 1e-24)) * height / side
                return 1e2 * np.array([off - rounding, z - rounding, height - z - rounding])
            cons = [dict(type="ineq", fun=inside)]
        cost = lambda x: np.sum((x[:3] - a - x[3] * (b - a)) ** 2) * 1e4
        found = 0
        for k in range(60):
            r = minimize(cost, np.r_[rng.normal(size=3) * 0.002, rng.uniform()], method="SLSQP", constraints=cons, bounds=[(None, None)] * 3 + [(0, 1)],
                         options=dict(ftol=1e-16, maxiter=500))
            if cons[0]["fun"](r.x).min() > -1e-7:
                best, found = min(best, r.fun), found + 1
                if found == 4:
                    break
        best = np.sqrt(best / 1e4) - rounding
    out.append(best)
json.dump(out, sys.stdout)
`

// What lies outside is as far as a general minimiser over the surface or the inner body finds.
func TestSolidsAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	type question struct {
		Kind     string
		Measures []float64
		A, B     orient.Vec3
	}
	var asked []question
	var got []float64
	rng := rand.New(rand.NewPCG(1, 2))
	within := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	for len(asked) < 48 {
		var s Solid
		var q question
		switch len(asked) % 4 {
		case 0:
			semi := orient.Vec3{within(0.02, 0.05), within(0.02, 0.05), within(0.02, 0.05)}
			e1, e2 := within(0.25, 1), within(0.25, 1)
			s = must(NewSuperellipsoid(semi, e1, e2))
			q = question{Kind: "superellipsoid", Measures: []float64{semi[0], semi[1], semi[2], e1, e2}}
		case 1:
			half, r := orient.Vec3{within(0.02, 0.05), within(0.02, 0.05), within(0.02, 0.05)}, within(0.001, 0.01)
			s = must(NewBox(half, r))
			q = question{Kind: "box", Measures: []float64{half[0], half[1], half[2], r}}
		case 2:
			bottom, top, height, r := within(0.02, 0.04), within(0, 0.04), within(0.04, 0.08), within(0.001, 0.008)
			cone := must(NewFrustum(bottom, top, height, r))
			s = cone
			// Where the sharp bottom is: one rounding below where the inner frustum begins.
			q = question{Kind: "frustum", Measures: []float64{bottom, top, height, cone.low - r, r}}
		case 3:
			ring, angle, thick, tip := within(0.03, 0.06), within(0.6, 2), within(0.012, 0.02), within(0.006, 0.012)
			c := must(NewCrescent(ring, angle, thick, tip))
			s = c
			q = question{Kind: "crescent", Measures: []float64{ring, angle, thick, tip, c.centre}}
		}
		for k := range q.A {
			q.A[k], q.B[k] = within(-0.08, 0.08), within(-0.08, 0.08)
		}
		if len(asked)%3 == 0 {
			q.B = q.A
		}
		n := s.Segment(q.A, q.B)
		if n.Distance < 0.002 {
			continue
		}
		asked, got = append(asked, q), append(got, n.Distance)
	}
	in, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(python, "-c", scipyShapes)
	run.Stdin = strings.NewReader(string(in))
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []float64
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	worst := map[string]float64{}
	for i, q := range asked {
		off := got[i] - want[i]
		worst[q.Kind] = max(worst[q.Kind], math.Abs(off))
		// The minimiser may stop a little short: it is never to find less.
		if off > 1e-8 || off < -1e-7 {
			t.Errorf("%+v: %.9f m, scipy %.9f m", q, got[i], want[i])
		}
	}
	t.Logf("largest differences: %v", worst)
}
