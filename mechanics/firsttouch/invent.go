package firsttouch

import (
	"math"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/statistics/guide"
)

// The invented person: how far items lie off (m, standard deviation each way), how exactly the wrist is guided (m, rad), by how much
// the wrist is turned for each metre that the item lay aside (rad/m), and the share of trials that held.
const (
	inventedOff    = 0.012
	inventedHand   = 0.003
	inventedTurn   = 0.06
	inventedPerM   = 6
	inventedHeld   = 0.85
	inventedEarly  = 0.3 // command at which an item in the middle is met
	inventedPerOff = 8.0 // earlier by this for each metre that it lies nearer to the finger
)

// Invent makes a table of guided trials that nobody made, for a hand: the finger that the item lies nearest to is touched first, the
// sooner the nearer it lies, and the person guides the palm over the item. seed decides all. It is for trying the reading of tables.
func Invent(h *trialsim.Hand, trials int, seed uint64) *Guided {
	g := &Guided{HasCommand: true, HasPlace: true, HasDirection: true}
	for n := range trials {
		r := numeric.Stream(seed, "invented guided trial", n)
		x, y := inventedOff*r.NormFloat64(), inventedOff*r.NormFloat64()
		best, near := 0, math.Inf(-1)
		for i := range h.Fingers {
			root := h.Fingers[i].Root
			size := math.Hypot(root[0], root[1])
			if size == 0 {
				continue
			}
			if along := (x*root[0]+y*root[1])/size + inventedHand*r.NormFloat64(); along > near {
				best, near = i, along
			}
		}
		links := h.Fingers[best].Chain.Joints()
		t := GuidedTrial{
			Finger: best, Link: min(links-1, links/2+r.IntN(2)), Command: round(math.Min(1, math.Max(0.02, inventedEarly-inventedPerOff*near)), 1e-3),
			Place: round(0.002+0.02*r.Float64(), 1e-4), Direction: round(math.Atan2(y-h.Fingers[best].Root[1], x-h.Fingers[best].Root[0])*180/math.Pi, 1) * math.Pi / 180, Outcome: domain.OutcomeHeld,
		}
		t.Move[guide.MoveX], t.Move[guide.MoveY] = round(x+inventedHand*r.NormFloat64(), 1e-4), round(y+inventedHand*r.NormFloat64(), 1e-4)
		t.Move[guide.Turn] = round((inventedPerM*x+inventedTurn*r.NormFloat64())*180/math.Pi, 1) * math.Pi / 180
		if r.Float64() > inventedHeld {
			t.Outcome = domain.OutcomeDropped
		}
		g.Trials = append(g.Trials, t)
	}
	return g
}
