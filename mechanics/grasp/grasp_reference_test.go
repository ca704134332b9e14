//go:build reference

package grasp_test

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"holdfast/mechanics/grasp"
)

// scipyGrasp builds the wrenches of pyramids anew, and asks scipy's hull of them for the margin and its linear
// programmes for payload, squeeze and closure.
const scipyGrasp = `
import json, sys, numpy as np
from scipy.spatial import ConvexHull
from scipy.optimize import linprog
out = []
for a in json.load(sys.stdin):
    W, owner = [], []
    for i, c in enumerate(a["contacts"]):
        at, n, t1, t2 = (np.array(c[k]) for k in ("At", "Inward", "Tangent1", "Tangent2"))
        for j in range(a["edges"]):
            p = 2 * np.pi * j / a["edges"]
            f = n + c["Friction"] * (np.cos(p) * t1 + np.sin(p) * t2)
            W.append(np.r_[f, np.cross(at, f) / a["rho"]])
            owner.append(i)
    W, owner = np.array(W), np.array(owner)
    margin = (-ConvexHull(W).equations[:, -1]).min()
    n = owner.max() + 1
    N = np.array([(owner == i).astype(float) for i in range(n)])
    load = np.r_[0, 0, -1, 0, 0, 0.2]
    k = len(W)
    payload = linprog(np.r_[np.zeros(k), -1], A_eq=np.c_[W.T, load], b_eq=np.zeros(6), A_ub=np.c_[N, np.zeros(n)], b_ub=np.full(n, 5.0), method="highs")
    total = linprog(np.ones(k), A_eq=W.T, b_eq=-load, method="highs")
    each = linprog(np.r_[np.zeros(k), 1], A_eq=np.c_[W.T, np.zeros(6)], b_eq=-load, A_ub=np.c_[N, -np.ones(n)], b_ub=np.zeros(n), method="highs")
    # Force closure: every edge takes part in a balance without load, and the edges span.
    inner = linprog(np.r_[np.zeros(k), -1], A_eq=np.r_[np.c_[W.T, np.zeros(6)], [np.r_[np.ones(k), 0]]], b_eq=np.r_[np.zeros(6), 1],
                    A_ub=np.c_[-np.eye(k), np.ones(k)], b_ub=np.zeros(k), bounds=[(None, None)] * (k + 1), method="highs")
    closed = bool(np.linalg.matrix_rank(W) == 6 and inner.status == 0 and -inner.fun > 1e-9)
    out.append({"margin": margin, "payload": -payload.fun, "total": total.fun if total.status == 0 else -1,
                "each": each.fun if each.status == 0 else -1, "closed": closed})
json.dump(out, sys.stdout)
`

func TestGraspsAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	type question struct {
		Contacts []grasp.Contact `json:"contacts"`
		Edges    int             `json:"edges"`
		Rho      float64         `json:"rho"`
	}
	var asked []question
	var grasps []*grasp.Grasp
	for seed := range uint64(40) {
		all := ten(seed).Contacts
		for i := range all {
			all[i].Friction = 0.2 + 0.05*float64((int(seed)+i)%12)
		}
		q := question{Contacts: all[:3+seed%5], Edges: 4 + int(seed%3)*2, Rho: rho}
		asked = append(asked, q)
		grasps = append(grasps, must(grasp.New(q.Contacts, none.Force, rho))(t))
	}
	in, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(python, "-c", scipyGrasp)
	run.Stdin = strings.NewReader(string(in))
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []struct {
		Margin, Payload, Total, Each float64
		Closed                       bool
	}
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	load := grasp.Wrench{Force: down.Force}
	load.Torque[2] = 0.2 * rho
	closures := 0
	for i, g := range grasps {
		limits := grasp.Limits{Edges: asked[i].Edges}
		closed, _, err := g.Closure(limits)
		if err != nil || closed != want[i].Closed || closed != (want[i].Margin > 1e-9) {
			t.Errorf("grasp %d: closure %v (%v), want %v, margin %g", i, closed, err, want[i].Closed, want[i].Margin)
		}
		if m := margin(t, g, grasp.Total, limits, grasp.DefaultEffort); closed {
			closures++
			near(t, "margin", m.Upper, want[i].Margin, 1e-9)
		}
		h := must(g.Payload(load, none, evenly(len(g.Contacts), 5), limits))(t)
		near(t, "payload", h.Factor, want[i].Payload, 1e-7*(1+want[i].Payload))
		for s, w := range map[grasp.Sharing]float64{grasp.Total: want[i].Total, grasp.Each: want[i].Each} {
			h, err := g.Squeeze(load, s, limits)
			if (err == nil) != (w >= 0) {
				t.Errorf("grasp %d: squeeze %v, want %g", i, err, w)
			} else if err == nil && !(math.Abs(h.Factor-w) <= 1e-7*(1+w)) {
				t.Errorf("grasp %d: squeeze %.12g, want %.12g", i, h.Factor, w)
			}
		}
	}
	if closures < 5 || closures > 35 {
		t.Errorf("%d of 40 grasps close; the check needs both kinds", closures)
	}
}
