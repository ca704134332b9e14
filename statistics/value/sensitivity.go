package value

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// BreakEven is the success of a first attempt from which on the hand earns what a person would.
type BreakEven struct {
	Success float64 // only when Found
	Found   bool
	Always  bool // the hand earns more at any success; else, when not Found, at none
}

// Bar is one input moved from low to high with all others at their means.
type Bar struct {
	Input           string // a plain name
	Unit            string // "money", "s", "1/h", "×" for a factor or "" for a share
	Measured        bool   // ends are the 5 and 95 % points of its posterior; else a fifth below and above what was given
	Low, Mid, High  float64
	NetLow, NetHigh float64 // money an hour at Low and at High
}

// Swing is how far the bar moves the net value, money an hour.
func (b Bar) Swing() float64 { return math.Abs(b.NetHigh - b.NetLow) }

// assumedSwing moves inputs that somebody stated and nobody measured. Common practice, no source.
const assumedSwing = 0.2

// breakEven moves the odds of every way by one common factor and finds where the net value crosses the person's. Where it
// crosses more than once, the highest crossing counts: above it the hand earns more, whatever lies below.
func breakEven(now []Attempts, p Policy, m Money) BreakEven {
	first := now[p.Ways[0]].Held
	person := m.PersonHour().Net
	logit := func(q float64) float64 { return math.Log(q / (1 - q)) }
	clamp := func(q float64) float64 { return math.Min(math.Max(q, 1e-9), 1-1e-9) }
	lead := func(q float64) float64 { // q: success of the first attempt
		shift := logit(q) - logit(clamp(first))
		moved := append([]Attempts(nil), now...)
		for i := range moved {
			moved[i].Held = logistic(logit(clamp(moved[i].Held)) + shift)
		}
		return Chain(moved, p, m).PerHour(m).Net - person
	}
	const steps = 200
	high := 1 - 1e-6
	if lead(high) <= 0 {
		return BreakEven{}
	}
	for k := steps - 1; k >= 0; k-- {
		low := math.Max(float64(k)/steps, 1e-6)
		if lead(low) > 0 {
			high = low
			continue
		}
		for range 50 {
			if mid := (low + high) / 2; lead(mid) > 0 {
				high = mid
			} else {
				low = mid
			}
		}
		return BreakEven{Success: (low + high) / 2, Found: true}
	}
	return BreakEven{Always: true}
}

// sensitivity moves one input at a time.
func sensitivity(ways []Way, now []Attempts, p Policy, m Money) []Bar {
	var bars []Bar
	net := func(ways []Attempts, p Policy, m Money) float64 { return Chain(ways, p, m).PerHour(m).Net }
	measured := func(way int, name, unit string, draws []float64, set func(*Attempts, float64)) {
		e := Summarise(draws)
		b := Bar{Input: name, Unit: unit, Measured: true, Low: e.Low, Mid: e.Mean, High: e.High}
		for _, end := range []struct {
			v   float64
			net *float64
		}{{e.Low, &b.NetLow}, {e.High, &b.NetHigh}} {
			moved := append([]Attempts(nil), now...)
			set(&moved[way], end.v)
			*end.net = net(moved, p, m)
		}
		bars = append(bars, b)
	}
	for i := range ways {
		if !slices.Contains(p.Ways, i) {
			continue
		}
		w := &ways[i]
		measured(i, fmt.Sprintf("success of %s", w.Name), "", w.Held, func(a *Attempts, v float64) { a.Held = v })
		hurt := make([]float64, len(w.Lost))
		for d := range hurt {
			hurt[d] = w.Lost[d][damaged]
		}
		measured(i, fmt.Sprintf("share of damage among the failures of %s", w.Name), "", hurt, func(a *Attempts, v float64) {
			rest := 1 - a.Lost[damaged]
			for k := range a.Lost {
				if k != damaged && rest > 0 {
					a.Lost[k] *= (1 - v) / rest
				}
			}
			a.Lost[damaged] = v
		})
		measured(i, fmt.Sprintf("duration of a pick by %s", w.Name), "s", w.HeldSeconds, func(a *Attempts, v float64) { a.HeldSeconds = v })
		measured(i, fmt.Sprintf("duration of a failed attempt by %s", w.Name), "s", w.LostSeconds, func(a *Attempts, v float64) { a.LostSeconds = v })
	}
	stated := func(name, unit string, v float64, set func(*Money, float64)) {
		if v == 0 {
			return
		}
		b := Bar{Input: name, Unit: unit, Low: v * (1 - assumedSwing), Mid: v, High: v * (1 + assumedSwing)}
		low, high := m, m
		set(&low, b.Low)
		set(&high, b.High)
		b.NetLow, b.NetHigh = net(now, p, low), net(now, p, high)
		bars = append(bars, b)
	}
	stated("value per good pick", "money", m.Good, func(m *Money, v float64) { m.Good = v })
	stated("cost of a damaged item", "money", m.Damaged, func(m *Money, v float64) { m.Damaged = v })
	if slices.Max(m.Failed[:]) > 0 { // each kind may have its own cost: all move together
		stated("costs of failed attempts, as a factor", "×", 1, func(m *Money, v float64) {
			for k := range m.Failed {
				m.Failed[k] *= v
			}
		})
	}
	stated("wear of the hand, an attempt", "money", m.Attempt, func(m *Money, v float64) { m.Attempt = v })
	stated("cost of handing over", "money", m.Person, func(m *Money, v float64) { m.Person = v })
	stated("cost of the line's hour", "money", m.LineHour, func(m *Money, v float64) { m.LineHour = v })
	stated("cost of the hand's hour", "money", m.HandHour, func(m *Money, v float64) { m.HandHour = v })
	stated("time added to an item", "s", m.ItemSeconds, func(m *Money, v float64) { m.ItemSeconds = v })
	stated("time added to a failed attempt", "s", m.FailSeconds, func(m *Money, v float64) { m.FailSeconds = v })
	stated("time the line waits for a person", "s", m.PersonSeconds, func(m *Money, v float64) { m.PersonSeconds = v })
	stated("demand", "1/h", m.Demand, func(m *Money, v float64) { m.Demand = v })
	if len(p.Ways) > 1 {
		b := Bar{Input: "correlation of attempts at one item", Low: 0, Mid: p.Shared, High: math.Min(0.95, 2*p.Shared+0.1)}
		low, high := p, p
		low.Shared, high.Shared = b.Low, b.High
		b.NetLow, b.NetHigh = net(now, low, m), net(now, high, m)
		bars = append(bars, b)
	}
	sort.SliceStable(bars, func(i, j int) bool { return bars[i].Swing() > bars[j].Swing() })
	return bars
}
