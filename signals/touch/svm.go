package touch

import (
	"context"
	"fmt"
	"math"

	"holdfast/numeric/dense"
)

// SVM tells zones by support vector machines, one for each pair of zones, which vote; equations (8) to (10) of DESIGN.md.
type SVM struct {
	Gamma   float64   `json:"gamma"` // of the kernel exp(−gamma·|a−b|²); 0: the linear kernel a·b
	Zones   int       `json:"zones"`
	Vectors Packed    `json:"vectors"` // support vectors of all pairs
	Pairs   []SVMPair `json:"pairs"`   // (0,1), (0,2) … (zones−2, zones−1)
	squares []float64
}

// SVMPair is one machine: positive values speak for zone A.
type SVMPair struct {
	A         int       `json:"a"`
	B         int       `json:"b"`
	At        []int     `json:"at"` // numbers of the support vectors
	Weight    []float64 `json:"weight"`
	Intercept float64   `json:"intercept"`
	// Slope and Offset turn a value v into the probability of A, 1/(1 + exp(Slope·v + Offset)); 0 where none was fitted.
	Slope  float64 `json:"slope"`
	Offset float64 `json:"offset"`
}

// SVMSettings says how machines are trained.
type SVMSettings struct {
	C           float64 // price of a clip on the wrong side, > 0
	Gamma       float64 // see SVM; ScaleGamma for 1/(features · variance of all entries)
	Probability bool    // fit probabilities, on values of clips held out in three parts; four times the work
}

// ScaleGamma asks FitSVM to choose gamma by the features' spread.
const ScaleGamma = -1

// FitSVM trains a machine for every pair of zones. Its error is that of ctx once that has ended.
func FitSVM(ctx context.Context, x Matrix, zone []int, zones int, s SVMSettings) (*SVM, error) {
	if !(s.C > 0) || math.IsInf(s.C, 0) {
		return nil, fmt.Errorf("a support vector machine needs C above 0, and it is %g", s.C)
	}
	gamma := s.Gamma
	if gamma == ScaleGamma {
		gamma = scaleGamma(x)
	}
	if gamma < 0 || math.IsNaN(gamma) || math.IsInf(gamma, 0) {
		return nil, fmt.Errorf("gamma of %g is not possible", s.Gamma)
	}
	kernel := newKernel(x, gamma)
	pairs, err := trainPairs(ctx, kernel, every(x.Rows), zone, zones, s, 1)
	if err != nil {
		return nil, err
	}
	return gathered(kernel, pairs, zones), nil
}

// gathered collects the support vectors of machines on a kernel.
func gathered(k *kernel, pairs []pairOnKernel, zones int) *SVM {
	machine := &SVM{Gamma: k.gamma, Zones: zones}
	number := make([]int, k.x.Rows) // of the support vector that a row became, counted from 1
	for _, p := range pairs {
		pair := p.SVMPair
		for i, w := range p.weight {
			if w == 0 {
				continue
			}
			at := p.rows[i]
			if number[at] == 0 {
				machine.Vectors = append(machine.Vectors, single(k.x.Row(at)))
				number[at] = len(machine.Vectors)
			}
			pair.At = append(pair.At, number[at]-1)
			pair.Weight = append(pair.Weight, w)
		}
		machine.Pairs = append(machine.Pairs, pair)
	}
	machine.prepare()
	return machine
}

// pairOnKernel is a machine in terms of the rows of a kernel.
type pairOnKernel struct {
	SVMPair
	rows   []int
	weight []float64
}

// trainPairs trains the machines of all pairs on some rows of a kernel; zone counts in all of the kernel's rows. More than
// one worker needs a filled kernel.
func trainPairs(ctx context.Context, k *kernel, rows, zone []int, zones int, s SVMSettings, workers int) ([]pairOnKernel, error) {
	members := make([][]int, zones)
	for _, i := range rows {
		members[zone[i]] = append(members[zone[i]], i)
	}
	for z, m := range members {
		if len(m) == 0 {
			return nil, fmt.Errorf("zone number %d has no clip among the %d to train on; record it in more sessions, or leave the zone out", z, len(rows))
		}
	}
	var pairs []pairOnKernel
	for a := range zones {
		for b := a + 1; b < zones; b++ {
			pairs = append(pairs, pairOnKernel{SVMPair: SVMPair{A: a, B: b}, rows: append(append([]int(nil), members[a]...), members[b]...)})
		}
	}
	err := inParallel(ctx, len(pairs), workers, func(i int) {
		p := &pairs[i]
		sign := make([]float64, len(p.rows))
		for i := range sign {
			sign[i] = 1
			if i >= len(members[p.A]) {
				sign[i] = -1
			}
		}
		p.weight, p.Intercept = separate(ctx, k, p.rows, sign, s.C)
		if s.Probability {
			p.Slope, p.Offset = plattFit(heldOutValues(ctx, k, p.rows, sign, s.C), sign)
		}
	})
	return pairs, err
}

// tellOnKernel returns the zone of a row of the kernel.
func tellOnKernel(k *kernel, pairs []pairOnKernel, zones, row int) int {
	r, votes := k.row(row), newVotes(zones)
	for _, p := range pairs {
		v := p.Intercept
		for i, w := range p.weight {
			if w != 0 {
				v += w * float64(r[p.rows[i]])
			}
		}
		votes.add(p.A, p.B, v)
	}
	return votes.winner()
}

func (m *SVM) prepare() {
	m.squares = make([]float64, len(m.Vectors))
	for i, v := range m.Vectors {
		m.squares[i] = dense.Dot(v, v)
	}
}

// scaleGamma returns 1/(features · variance of all entries).
func scaleGamma(x Matrix) float64 {
	mean, n := 0.0, float64(len(x.Data))
	for _, v := range x.Data {
		mean += v / n
	}
	variance := 0.0
	for _, v := range x.Data {
		variance += (v - mean) * (v - mean) / n
	}
	if variance == 0 {
		return 1
	}
	return 1 / (float64(x.Cols) * variance)
}

// values computes the machines' values for a row.
func (m *SVM) values(row []float64) []float64 {
	k := make([]float64, len(m.Vectors))
	square := dense.Dot(row, row)
	last := len(m.Vectors) - 1
	for i := 0; i <= last; i += 2 {
		other := min(i+1, last)
		k[i], k[other] = dots2(row, m.Vectors[i], m.Vectors[other])
	}
	if m.Gamma > 0 {
		for i, v := range k {
			k[i] = math.Exp(-m.Gamma * max(0, square+m.squares[i]-2*v))
		}
	}
	out := make([]float64, len(m.Pairs))
	for p, pair := range m.Pairs {
		v := pair.Intercept
		for i, at := range pair.At {
			v += pair.Weight[i] * k[at]
		}
		out[p] = v
	}
	return out
}

// tell returns the zone with most votes.
func (m *SVM) tell(row, _ []float64) int {
	votes := newVotes(m.Zones)
	for p, v := range m.values(row) {
		votes.add(m.Pairs[p].A, m.Pairs[p].B, v)
	}
	return votes.winner()
}

// votes are those of the machines of all pairs; of zones with equally many the one wins whose values add up to more.
type votes struct{ count, sum []float64 }

func newVotes(zones int) votes { return votes{make([]float64, zones), make([]float64, zones)} }

func (v votes) add(a, b int, value float64) {
	if value > 0 {
		v.count[a]++
	} else {
		v.count[b]++
	}
	v.sum[a] += value
	v.sum[b] -= value
}

func (v votes) winner() int {
	for k, s := range v.sum {
		v.count[k] += s / (3 * (math.Abs(s) + 1))
	}
	return largest(v.count)
}

// Probabilities writes the zones' probabilities, coupled from those of the pairs, into dst, equation (10); even shares where
// none were fitted.
func (m *SVM) Probabilities(dst, row []float64) {
	r := NewMatrix(m.Zones, m.Zones)
	for p, v := range m.values(row) {
		pair := m.Pairs[p]
		a := 1 / (1 + math.Exp(pair.Slope*v+pair.Offset))
		a = min(max(a, 1e-7), 1-1e-7) // a pair is never beyond doubt
		r.Row(pair.A)[pair.B], r.Row(pair.B)[pair.A] = a, 1-a
	}
	couple(dst[:m.Zones], r)
}

// couple finds the probabilities p that come nearest to the pairs' r[a][b] = p[a]/(p[a]+p[b]): the least of
// Σ (r[b][a]·p[a] − r[a][b]·p[b])² with Σ p = 1 (T.-F. Wu, C.-J. Lin, R. C. Weng, "Probability estimates for multi-class
// classification by pairwise coupling", 2004, second method; from memory). p is along Q⁻¹·1.
func couple(p []float64, r Matrix) {
	n := len(p)
	q := make([]float64, n*n)
	for a := range n {
		for b := range n {
			if a == b {
				continue
			}
			q[a*n+a] += r.Row(b)[a] * r.Row(b)[a]
			q[a*n+b] = -r.Row(b)[a] * r.Row(a)[b]
		}
	}
	for a := range n {
		q[a*n+a] += 1e-12 // pairs that agree perfectly leave Q singular along the answer
	}
	for a := range p {
		p[a] = 1
	}
	if dense.Cholesky(q, n, 1) {
		dense.Solve(q, n, p)
	}
	sum := 0.0
	for a, v := range p {
		p[a] = max(v, 0)
		sum += p[a]
	}
	for a := range p {
		p[a] /= sum
	}
}

func (m *SVM) zones() int { return m.Zones }
