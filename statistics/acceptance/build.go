package acceptance

import (
	"fmt"

	"holdfast/domain"
)

// Build works out the rule of a design. What the design leaves open (the cut of a sequential run) takes its usual value.
func Build(d domain.ProofDesign) (Plan, error) {
	early := !d.FullLength
	switch d.Kind {
	case domain.ProofSuccessRun:
		n, err := SuccessRun(d.Success, d.Confidence, d.Failures)
		if err != nil {
			return Plan{}, err
		}
		return Fixed(n, d.Failures, early)
	case domain.ProofTwoPoint:
		n, c, err := TwoPoint(risks(d))
		if err != nil {
			return Plan{}, err
		}
		return Fixed(n, c, early)
	case domain.ProofTable:
		s, err := TableSample(d.Lot, d.Level, d.Quality, Severity(d.Severity))
		if err != nil {
			return Plan{}, err
		}
		return Fixed(s.Size, s.Accept, early)
	case domain.ProofDouble:
		return Double(d.First, d.FirstAllowed, d.FirstRejects, d.Second, d.BothAllowed, early)
	case domain.ProofSequential:
		lines, err := Wald(risks(d))
		if err != nil {
			return Plan{}, err
		}
		longest := d.Longest
		if longest == 0 {
			if longest, err = LongestSequential(risks(d)); err != nil {
				return Plan{}, err
			}
		}
		return lines.Sequential(longest, -1, early)
	}
	return Plan{}, wrong("the kind of proof run %q is not one of %v", d.Kind, domain.ProofKinds)
}

func risks(d domain.ProofDesign) Risks {
	return Risks{Good: d.Good, Bad: d.Bad, Producer: d.ProducerRisk, Consumer: d.ConsumerRisk}
}

// Describe says in words what a design does: its rule first, then what it shows.
func Describe(d domain.ProofDesign) (string, error) {
	p, err := Build(d)
	if err != nil {
		return "", err
	}
	n := p.Longest()
	allowed := p.Accept[n-1]
	switch d.Kind {
	case domain.ProofSuccessRun:
		return fmt.Sprintf("%s with at most %s: passing shows a success of at least %.4g with %.4g %% confidence.",
			many(n, "trial"), many(allowed, "failure"), d.Success, 100*d.Confidence), nil
	case domain.ProofTwoPoint:
		return fmt.Sprintf("%s with at most %s: a success of %.4g passes at least %.4g times in 100, one of %.4g at most %.4g times in 100.",
			many(n, "trial"), many(allowed, "failure"), 1-d.Good, 100*(1-d.ProducerRisk), 1-d.Bad, 100*d.ConsumerRisk), nil
	case domain.ProofTable:
		s, err := TableSample(d.Lot, d.Level, d.Quality, Severity(d.Severity))
		if err != nil {
			return "", err
		}
		if s.WholeLot {
			return fmt.Sprintf("All %d items of the lot are tried, with at most %s.", n, many(allowed, "failure")), nil
		}
		return fmt.Sprintf("%s with at most %s: single sampling, %s inspection, level %s, code letter %s, acceptance quality limit %g %%.",
			many(n, "trial"), many(allowed, "failure"), s.Severity, d.Level, s.Letter, s.Quality), nil
	case domain.ProofDouble:
		return fmt.Sprintf("%s: accepted with at most %d, rejected with %d or more failures; between them %d more, accepted with at most %d in all.",
			many(d.First, "trial"), d.FirstAllowed, d.FirstRejects, d.Second, d.BothAllowed), nil
	}
	at := p.At(d.Good)
	return fmt.Sprintf("Trial by trial, %d at most: a success of %.4g passes %.3g times in 100, after %.3g trials on average; a success of %.4g passes %.3g times in 100.",
		n, 1-d.Good, 100*at.Accept, at.Length, 1-d.Bad, 100*p.At(d.Bad).Accept), nil
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
