package acceptance_test

import (
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/statistics/acceptance"
)

func TestBuildAndDescribe(t *testing.T) {
	for _, c := range []struct {
		d       domain.ProofDesign
		longest int
		allowed int
		words   string
	}{
		{domain.ProofDesign{Kind: domain.ProofSuccessRun, Success: .95, Confidence: .95}, 59, 0,
			"59 trials with at most 0 failures: passing shows a success of at least 0.95 with 95 % confidence."},
		{domain.ProofDesign{Kind: domain.ProofSuccessRun, Success: .95, Confidence: .95, Failures: 1}, 93, 1, "93 trials with at most 1 failure:"},
		{domain.ProofDesign{Kind: domain.ProofTwoPoint, Good: .05, Bad: .20, ProducerRisk: .05, ConsumerRisk: .10}, 38, 4,
			"38 trials with at most 4 failures: a success of 0.95 passes at least 95 times in 100, one of 0.8 at most 10 times in 100."},
		{domain.ProofDesign{Kind: domain.ProofTable, Lot: 1000, Level: "II", Quality: 2.5, Severity: "normal"}, 80, 5,
			"80 trials with at most 5 failures: single sampling, normal inspection, level II, code letter J, acceptance quality limit 2.5 %."},
		{domain.ProofDesign{Kind: domain.ProofTable, Lot: 6, Level: "II", Quality: .65, Severity: "normal"}, 6, 0, "All 6 items of the lot are tried, with at most 0 failures."},
		{domain.ProofDesign{Kind: domain.ProofDouble, First: 50, FirstAllowed: 1, FirstRejects: 4, Second: 100, BothAllowed: 3}, 150, 3,
			"50 trials: accepted with at most 1, rejected with 4 or more failures; between them 100 more, accepted with at most 3 in all."},
		{domain.ProofDesign{Kind: domain.ProofSequential, Good: .05, Bad: .20, ProducerRisk: .05, ConsumerRisk: .10}, 57, 6,
			"Trial by trial, 57 at most: a success of 0.95 passes 96.4 times in 100, after 23 trials on average; a success of 0.8 passes 9.75 times in 100."},
		{domain.ProofDesign{Kind: domain.ProofSequential, Good: .05, Bad: .20, ProducerRisk: .05, ConsumerRisk: .10, Longest: 40}, 40, 4, "Trial by trial, 40 at most"},
	} {
		p, err := acceptance.Build(c.d)
		if err != nil {
			t.Errorf("%+v: %v", c.d, err)
			continue
		}
		if p.Longest() != c.longest || p.Accept[c.longest-1] != c.allowed {
			t.Errorf("%+v: %d trials, %d failures; want %d, %d", c.d, p.Longest(), p.Accept[p.Longest()-1], c.longest, c.allowed)
		}
		if words, err := acceptance.Describe(c.d); err != nil || !strings.HasPrefix(words, c.words) {
			t.Errorf("%+v\n got %q (%v)\nwant %q", c.d, words, err, c.words)
		}
	}
	for _, d := range []domain.ProofDesign{{}, {Kind: "long"}, {Kind: domain.ProofTable, Lot: 10}, {Kind: domain.ProofSequential, Good: .1}} {
		if _, err := acceptance.Build(d); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%+v: got %v", d, err)
		}
		if _, err := acceptance.Describe(d); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%+v: got %v", d, err)
		}
	}
}
