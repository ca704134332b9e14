package additive

import (
	"fmt"
	"math"
	"sort"
)

func (m *Model) summarise(e *engine) {
	s := &m.summary
	s.Columns = m.columns
	s.Hypers = append([]float64(nil), m.log...)
	s.HyperNames = append([]Hyper(nil), m.hypers...)
	for k, b := range m.blocks {
		if k == len(m.blocks)-1 {
			s.Constant = Coefficient{m.coef[b.base], math.Sqrt(m.covariance[b.base*m.columns+b.base])}
			continue
		}
		t := TermSummary{Name: b.term.Name, Kind: b.term.Kind, By: b.term.By, Columns: b.size * len(b.levels), Amplitude: b.term.SD, Length: math.NaN(), Spread: m.spread(e, b)}
		if len(b.hyper) > 0 {
			t.Amplitude = math.Exp(m.log[b.hyper[0]])
		}
		switch b.term.Kind {
		case Smooth:
			t.Length = math.Exp(m.log[b.hyper[1]]) * m.span(b.term.Variables[0]).half
		case Offset:
			// The geometric mean of the two, which the ratio leaves alone.
			t.Length = math.Exp(m.log[b.hyper[1]]) * math.Sqrt(m.span(b.term.Variables[0]).half*m.span(b.term.Variables[1]).half)
		case Orientation:
			t.Length = math.Exp(m.log[b.hyper[1]])
		}
		s.Terms = append(s.Terms, t)
	}
	sort.SliceStable(s.Terms, func(i, j int) bool { return m.place(s.Terms[i].Name) < m.place(s.Terms[j].Name) })
	s.Warnings = m.warn()
}

// place is where the caller named the term.
func (m *Model) place(name string) int {
	for i, t := range m.terms {
		if t.Name == name {
			return i
		}
	}
	return len(m.terms)
}

// spread returns the standard deviation over the trials of a block's contribution.
func (m *Model) spread(e *engine, b *block) float64 {
	only := make([]float64, m.columns)
	copy(only[b.base:b.base+b.size*len(b.levels)], m.coef[b.base:])
	f := make([]float64, len(e.order))
	e.apply(f, only, e.workers)
	var weight, sum, square float64
	for i, v := range f {
		weight += e.trials[i]
		sum += e.trials[i] * v
		square += e.trials[i] * v * v
	}
	if weight == 0 {
		return 0
	}
	mean := sum / weight
	return math.Sqrt(math.Max(square/weight-mean*mean, 0))
}

// warn names what the reader must know before believing: one-sided trials and levels, separation, factors that never
// part.
func (m *Model) warn() []string {
	var list []string
	held, trials := totals(m.data)
	if held == 0 || held == trials {
		return []string{fmt.Sprintf("All %.0f trials ended alike. Nothing in them says what matters; every interval comes from the prior.", trials)}
	}
	seen := map[string]bool{}
	for _, t := range m.terms {
		if t.By != "" && !seen[t.By] {
			seen[t.By] = true
			list = append(list, m.oneSidedLevels(t.By)...)
		}
		for _, v := range t.Variables {
			if !seen["number "+v] {
				seen["number "+v] = true
				list = append(list, m.separated(v)...)
			}
		}
	}
	return append(list, m.together()...)
}

// most bounds how many levels one warning names.
const most = 5

func (m *Model) oneSidedLevels(factor string) []string {
	type count struct{ held, trials float64 }
	counts := map[string]*count{}
	for i, level := range m.data.Levels[factor] {
		if counts[level] == nil {
			counts[level] = &count{}
		}
		counts[level].held += m.data.Held[i]
		counts[level].trials += m.data.Trials[i]
	}
	var list []string
	more := 0
	for _, level := range m.Levels(factor) {
		c := counts[level]
		if c.trials == 0 || c.held > 0 && c.held < c.trials {
			continue
		}
		if len(list) == most {
			more++
			continue
		}
		how := "held"
		if c.held == 0 {
			how = "failed"
		}
		list = append(list, fmt.Sprintf("%s %s: all %.0f trials %s, so only the other levels say how far its effect may go.", factor, level, c.trials, how))
	}
	if more > 0 {
		list = append(list, fmt.Sprintf("%s: %d more levels ended all alike.", factor, more))
	}
	return list
}

// separated tells when one threshold of a variable parts all held from all failed trials.
func (m *Model) separated(variable string) []string {
	heldLow, heldHigh, failLow, failHigh := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for i, x := range m.data.Numbers[variable] {
		if m.data.Held[i] > 0 {
			heldLow, heldHigh = math.Min(heldLow, x), math.Max(heldHigh, x)
		}
		if m.data.Held[i] < m.data.Trials[i] {
			failLow, failHigh = math.Min(failLow, x), math.Max(failHigh, x)
		}
	}
	if heldLow > failHigh || heldHigh < failLow {
		return []string{fmt.Sprintf("One value of %s parts all trials that held from all that did not: how steeply success changes there is the prior's guess. Try values near the border.", variable)}
	}
	return nil
}

// together names pairs of factors whose levels never part in the trials.
func (m *Model) together() []string {
	var factors []string
	seen := map[string]bool{}
	for _, t := range m.terms {
		if t.By != "" && !seen[t.By] && len(m.Levels(t.By)) > 1 {
			seen[t.By] = true
			factors = append(factors, t.By)
		}
	}
	var list []string
	for i, a := range factors {
		for _, b := range factors[:i] {
			if m.oneToOne(a, b) {
				list = append(list, fmt.Sprintf("%s and %s changed only together, so their effects cannot be told apart: each may be the other's.", b, a))
			}
		}
	}
	return list
}

func (m *Model) oneToOne(a, b string) bool {
	to, back := map[string]string{}, map[string]string{}
	for i, x := range m.data.Levels[a] {
		if m.data.Trials[i] == 0 {
			continue
		}
		y := m.data.Levels[b][i]
		if old, ok := to[x]; ok && old != y {
			return false
		}
		if old, ok := back[y]; ok && old != x {
			return false
		}
		to[x], back[y] = y, x
	}
	return true
}
