package touch

import (
	"fmt"
	"math"

	"holdfast/numeric/dense"
)

// SVM tells zones by support vector machines, one for each pair of zones, which vote; equations (8) to (10) of DESIGN.md.
type SVM struct {
	Gamma   float64     `json:"gamma"` // of the kernel exp(−gamma·|a−b|²); 0: the linear kernel a·b
	Zones   int         `json:"zones"`
	Vectors [][]float64 `json:"vectors"` // support vectors of all pairs
	Pairs   []SVMPair   `json:"pairs"`   // (0,1), (0,2) … (zones−2, zones−1)
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

// FitSVM trains a machine for every pair of zones.
func FitSVM(x Matrix, zone []int, zones int, s SVMSettings) (*SVM, error) {
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
	members := make([][]int, zones)
	for i, z := range zone {
		members[z] = append(members[z], i)
	}
	for k, m := range members {
		if len(m) == 0 {
			return nil, fmt.Errorf("zone number %d has no clip among the %d to train on; record it in more sessions, or leave the zone out", k, x.Rows)
		}
	}
	kernel := newKernel(x, gamma)
	machine := &SVM{Gamma: gamma, Zones: zones}
	number := make([]int, x.Rows) // of the support vector that a row became, counted from 1
	for a := range zones {
		for b := a + 1; b < zones; b++ {
			rows := append(append([]int(nil), members[a]...), members[b]...)
			sign := make([]float64, len(rows))
			for i := range sign {
				sign[i] = 1
				if i >= len(members[a]) {
					sign[i] = -1
				}
			}
			weight, intercept := separate(kernel, rows, sign, s.C)
			pair := SVMPair{A: a, B: b, Intercept: intercept}
			for i, w := range weight {
				if w == 0 {
					continue
				}
				if number[rows[i]] == 0 {
					machine.Vectors = append(machine.Vectors, append([]float64(nil), x.Row(rows[i])...))
					number[rows[i]] = len(machine.Vectors)
				}
				pair.At = append(pair.At, number[rows[i]]-1)
				pair.Weight = append(pair.Weight, w)
			}
			if s.Probability {
				pair.Slope, pair.Offset = plattFit(heldOutValues(kernel, rows, sign, s.C), sign)
			}
			machine.Pairs = append(machine.Pairs, pair)
		}
	}
	machine.prepare()
	return machine, nil
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
	for i, v := range m.Vectors {
		k[i] = dense.Dot(row, v)
		if m.Gamma > 0 {
			k[i] = math.Exp(-m.Gamma * max(0, square+m.squares[i]-2*k[i]))
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

// tell returns the zone with most votes; of equal ones that whose values add up to more.
func (m *SVM) tell(row, scratch []float64) int {
	votes := scratch[:m.Zones]
	clear(votes)
	sum := make([]float64, m.Zones)
	for p, v := range m.values(row) {
		pair := m.Pairs[p]
		if v > 0 {
			votes[pair.A]++
		} else {
			votes[pair.B]++
		}
		sum[pair.A] += v
		sum[pair.B] -= v
	}
	for k := range votes {
		votes[k] += sum[k] / (3 * (math.Abs(sum[k]) + 1))
	}
	return largest(votes)
}

// Probabilities writes the mean over pairs of each zone's pairwise probability into dst, equation (10); even shares where
// no probabilities were fitted.
func (m *SVM) Probabilities(dst, row []float64) {
	dst = dst[:m.Zones]
	clear(dst)
	for p, v := range m.values(row) {
		pair := m.Pairs[p]
		a := 1 / (1 + math.Exp(pair.Slope*v+pair.Offset))
		dst[pair.A] += a
		dst[pair.B] += 1 - a
	}
	for k := range dst {
		dst[k] *= 2 / float64(m.Zones*(m.Zones-1))
	}
}

func (m *SVM) zones() int { return m.Zones }
