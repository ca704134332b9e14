package additive

import (
	"fmt"
	"strings"

	"holdfast/orient"
)

// Kind says of what functions a term is made.
type Kind int

// The kinds of terms. Each can stand alone or, with Term.By, be a deviation of its own for every level of a factor.
const (
	Constant    Kind = iota // one number: with By, the shrunk effect of each level
	Linear                  // proportional to one variable, with a fixed prior
	Smooth                  // a smooth function of one variable
	Offset                  // a smooth function of two variables, such as the placement offset in x and y
	Orientation             // a function on orientations
)

// Term is one summand of the log-odds.
type Term struct {
	Name      string // unique in a model, for people
	Kind      Kind
	Variables []string // one for Linear and Smooth, two for Offset
	By        string   // factor whose levels have a deviation each; empty for none
	Kernel    Kernel   // covariance between levels; nil: levels are exchangeable
	Symmetry  orient.Symmetry
	Degree    int     // of Orientation; 0 lets the number of orientations decide
	Functions int     // of Smooth, or along each variable of Offset; 0 for the standard
	SD        float64 // prior standard deviation of a Linear slope, or of a Constant without By; 0 is flat
}

// Kernel is the covariance between the levels of a factor, such as one of items through their features.
type Kernel interface {
	// Hypers lists the quantities that the trials decide; Term is filled in by the model.
	Hypers() []Hyper
	// Covariance returns the covariance of the levels, row-major and with ones (or nearly) on the diagonal, because the
	// term has an amplitude of its own, and its derivative by each logarithm of the hyperparameters. It must be positive
	// definite and must give the same numbers for the same pair of levels whatever the others are.
	Covariance(levels []string, log []float64) (k []float64, slope [][]float64)
}

// Hyper is one scale that the trials decide, with the weak normal prior on its logarithm.
type Hyper struct {
	Term, Name string
	Mean, SD   float64 // of the logarithm
}

// FactorTerm is the shrunk effect of a factor's levels, called like the factor.
func FactorTerm(factor string) Term { return Term{Name: factor, Kind: Constant, By: factor} }

// SmoothTerm is a smooth function of a variable, called like the variable.
func SmoothTerm(variable string) Term {
	return Term{Name: variable, Kind: Smooth, Variables: []string{variable}}
}

// OffsetTerm is a smooth function of two variables together.
func OffsetTerm(name, x, y string) Term {
	return Term{Name: name, Kind: Offset, Variables: []string{x, y}}
}

// OrientationTerm is a function on orientations with the symmetry given, called "orientation".
func OrientationTerm(s orient.Symmetry) Term {
	return Term{Name: "orientation", Kind: Orientation, Symmetry: s}
}

// FactorByOrientation lets each level of the factor deviate from the common function on orientations in its own way.
func FactorByOrientation(factor string, s orient.Symmetry) Term {
	return Term{Name: factor + " × orientation", Kind: Orientation, By: factor, Symmetry: s}
}

// LinearTerm is a slope with the prior standard deviation sd per unit of the variable, 0 for a flat prior.
func LinearTerm(variable string, sd float64) Term {
	return Term{Name: variable, Kind: Linear, Variables: []string{variable}, SD: sd}
}

func checkTerms(terms []Term) error {
	names := map[string]bool{}
	for _, t := range terms {
		want := map[Kind]int{Constant: 0, Linear: 1, Smooth: 1, Offset: 2, Orientation: 0}
		n, ok := want[t.Kind]
		switch {
		case t.Name == "":
			return fmt.Errorf("a term has no name")
		case names[t.Name]:
			return fmt.Errorf("two terms are called %s", t.Name)
		case !ok:
			return fmt.Errorf("term %s: its kind %d is not known", t.Name, t.Kind)
		case len(t.Variables) != n:
			return fmt.Errorf("term %s needs %d variables and has %d", t.Name, n, len(t.Variables))
		case t.Kind == Constant && t.By == "":
			return fmt.Errorf("term %s: the model has a constant already; name a factor", t.Name)
		case t.Kernel != nil && t.By == "":
			return fmt.Errorf("term %s: a covariance between levels needs a factor", t.Name)
		case t.SD < 0 || t.Functions < 0 || t.Degree < 0:
			return fmt.Errorf("term %s: a negative number of functions, degree or standard deviation means nothing", t.Name)
		case t.Degree > orient.MaxHarmonicDegree/2 || t.Functions > maxFunctions:
			return fmt.Errorf("term %s asks for more functions than trials could ever tell apart", t.Name)
		}
		names[t.Name] = true
	}
	return nil
}

const maxFunctions = 64

// within says whether everything that the other term depends on, this one depends on too: leaving the other out leaves
// this one nothing to deviate from.
func (t *Term) within(other *Term) bool {
	if other.By != "" && other.By != t.By {
		return false
	}
	if other.Kind == Constant {
		return other.By != ""
	}
	return other.Kind == t.Kind && strings.Join(other.Variables, "\x00") == strings.Join(t.Variables, "\x00")
}
