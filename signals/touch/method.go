package touch

import (
	"context"
	"fmt"
	"strings"
)

// Classifier tells zones from features.
type Classifier interface {
	// Probabilities writes the zones' probabilities for a row of features into dst.
	Probabilities(dst, row []float64)
	tell(row, scratch []float64) int
	zones() int
}

// The kinds of classifier.
const (
	Discriminant         = "discriminant"
	Logistic             = "logistic"
	NearestClips         = "neighbours"
	SupportVectors       = "svm"
	LinearSupportVectors = "svm-linear"
)

// Method says how zones are learnt.
type Method struct {
	Kind       string  `json:"kind"`
	Components int     `json:"components,omitempty"` // principal directions in front; 0: none
	Shrinkage  float64 `json:"shrinkage,omitempty"`  // of the discriminant; LedoitWolf: by itself
	L2         float64 `json:"l2,omitempty"`         // of logistic regression
	K          int     `json:"k,omitempty"`          // of neighbours
	C          float64 `json:"c,omitempty"`          // of support vectors
	Gamma      float64 `json:"gamma,omitempty"`      // of svm; ScaleGamma: by the features' spread
}

// Candidates are the methods that a model is chosen from.
var Candidates = []Method{
	{Kind: Discriminant, Shrinkage: LedoitWolf},
	{Kind: Discriminant, Components: 20},
	{Kind: Logistic, L2: 10},
	{Kind: NearestClips, K: 5, Components: 20},
	{Kind: LinearSupportVectors, C: 0.01},
	{Kind: SupportVectors, C: 10, Gamma: ScaleGamma},
}

// String names the method for people.
func (m Method) String() string {
	var s string
	switch m.Kind {
	case Discriminant:
		s = "linear discriminant"
		if m.Shrinkage == LedoitWolf {
			s += ", Ledoit–Wolf shrinkage"
		} else if m.Shrinkage != 0 {
			s += fmt.Sprintf(", shrinkage %g", m.Shrinkage)
		}
	case Logistic:
		s = fmt.Sprintf("logistic regression, L2 %g", m.L2)
	case NearestClips:
		s = fmt.Sprintf("%d nearest clips", m.K)
	case SupportVectors:
		s = fmt.Sprintf("support vectors, RBF, C %g", m.C)
	case LinearSupportVectors:
		s = fmt.Sprintf("support vectors, linear, C %g", m.C)
	default:
		s = m.Kind
	}
	if m.Components > 0 {
		s += fmt.Sprintf(" on %d principal directions", m.Components)
	}
	return s
}

// Pipeline is a fitted method: what is done to features first, and the classifier. Exactly one classifier is there.
type Pipeline struct {
	Standard   *Standard   `json:"standard,omitempty"`
	PCA        *PCA        `json:"pca,omitempty"`
	Linear     *Linear     `json:"linear,omitempty"`
	Neighbours *Neighbours `json:"neighbours,omitempty"`
	SVM        *SVM        `json:"svm,omitempty"`
}

// classifier returns the one that is there.
func (p *Pipeline) classifier() Classifier {
	switch {
	case p.Linear != nil:
		return p.Linear
	case p.Neighbours != nil:
		return p.Neighbours
	case p.SVM != nil:
		return p.SVM
	}
	return nil
}

// Fit learns zones, numbered 0 … zones−1, from rows of features. Principal directions are of features as they are
// and stay as they are: the same spread for all would make as much of noise as of the strongest. Without them, everything
// but the discriminant is standardised first. Probabilities of support vectors cost four times the work and are
// only made when asked for. Its error is that of ctx once that has ended.
func Fit(ctx context.Context, m Method, x Matrix, zone []int, zones int, probabilities bool) (*Pipeline, error) {
	if zones < 2 {
		return nil, fmt.Errorf("%d zones can not be told apart; label at least two", zones)
	}
	p := &Pipeline{}
	if m.Components > 0 {
		most := x.Rows - 1
		if m.Kind == Discriminant && m.Shrinkage == 0 {
			most = x.Rows - zones // clips less their zones' means span no more, and the covariance of more is singular
		}
		var err error
		if p.PCA, err = FitPCA(ctx, x, min(m.Components, x.Cols, most)); err != nil {
			return nil, err
		}
		reduced := NewMatrix(x.Rows, len(p.PCA.Directions))
		for i := range x.Rows {
			p.PCA.Apply(reduced.Row(i), x.Row(i))
		}
		x = reduced
	}
	if m.Kind != Discriminant && m.Components == 0 {
		p.Standard = FitStandard(x)
		scaled := NewMatrix(x.Rows, x.Cols)
		for i := range x.Rows {
			p.Standard.Apply(scaled.Row(i), x.Row(i))
		}
		x = scaled
	}
	var err error
	switch m.Kind {
	case Discriminant:
		p.Linear, err = FitDiscriminant(x, zone, zones, m.Shrinkage)
	case Logistic:
		p.Linear, err = FitLogistic(ctx, x, zone, zones, m.L2)
	case NearestClips:
		p.Neighbours, err = FitNeighbours(x, zone, zones, m.K)
	case SupportVectors, LinearSupportVectors:
		s := SVMSettings{C: m.C, Gamma: m.Gamma, Probability: probabilities}
		if m.Kind == LinearSupportVectors {
			s.Gamma = 0
		}
		p.SVM, err = FitSVM(ctx, x, zone, zones, s)
	default:
		err = fmt.Errorf("method %q is not known; choose of %s", m.Kind, strings.Join([]string{Discriminant, Logistic, NearestClips, SupportVectors, LinearSupportVectors}, ", "))
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	return p, nil
}

// front brings a row of features to what the classifier takes.
func (p *Pipeline) front(row []float64) []float64 {
	if p.PCA != nil {
		r := make([]float64, len(p.PCA.Directions))
		p.PCA.Apply(r, row)
		row = r
	}
	if p.Standard != nil {
		r := make([]float64, len(row))
		p.Standard.Apply(r, row)
		row = r
	}
	return row
}

// Zones returns the number of zones.
func (p *Pipeline) Zones() int { return p.classifier().zones() }

// Probabilities returns the zones' probabilities for a row of features.
func (p *Pipeline) Probabilities(row []float64) []float64 {
	out := make([]float64, p.Zones())
	p.classifier().Probabilities(out, p.front(row))
	return out
}

// Tell returns the zone for a row of features: the likeliest, or the one with most votes.
func (p *Pipeline) Tell(row []float64) int {
	return p.classifier().tell(p.front(row), make([]float64, p.Zones()))
}
