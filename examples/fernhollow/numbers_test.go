package fernhollow

import (
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/examples"
	"holdfast/handtest"
	"holdfast/mechanics/benchfit"
	"holdfast/readings"
	"holdfast/scenes"
)

// The invented bench lies near the descriptions that simulations use, not on them; brought to it, they find what was invented.
func TestBenchRecordsFeedTheDescriptions(t *testing.T) {
	files, err := fs.Sub(examples.Scenes(), "hands")
	if err != nil {
		t.Fatal(err)
	}
	series := 1 / (1/tendonTruth.stiffness[0] + 1/tendonTruth.stiffness[1] + 1/tendonTruth.stiffness[2])
	for _, c := range []struct {
		hand    domain.ID
		records []domain.BenchRecord
		truth   map[string]float64
	}{
		{AirHand, numbersOfAir(), map[string]float64{"moment per pressure": .0219 * 82, "stiffness against closing, all joints in series": .0219 * 82 / (1.62 * deg)}},
		{"tendon-five", numbersOfTendons(), map[string]float64{"stiffness against closing, all joints in series": series, "friction of the tendon": tendonTruth.friction, "stretch of the finger's tendon": tendonTruth.stretch}},
	} {
		h, err := scenes.ReadHand(files, string(c.hand)+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		var curves []benchfit.Curve
		for _, r := range c.records {
			if !slices.Contains(benchfit.Tests, r.Test) {
				continue
			}
			kind, _ := handtest.Find(r.Test)
			table, err := readings.Read(strings.NewReader(r.Table), kind.Columns)
			if err != nil {
				t.Fatal(err)
			}
			found, err := benchfit.CurvesOf(r.Test, table)
			if err != nil {
				t.Fatal(err)
			}
			curves = append(curves, found...)
		}
		r, err := benchfit.Fit(t.Context(), h, 0, curves, .999)
		if err != nil {
			t.Fatal(err)
		}
		told := 0
		for _, q := range r.Quantities {
			if off := math.Abs(q.Fitted/q.Described - 1); q.Described > 0 && (off < .02 || off > .16) {
				t.Errorf("%s, %s: described as %g, the bench says %g", c.hand, q.Name, q.Described, q.Fitted)
			}
			if want, ok := c.truth[q.Name]; ok {
				told++
				if want < q.Low || want > q.High {
					t.Errorf("%s, %s: invented as %g, found between %g and %g", c.hand, q.Name, want, q.Low, q.High)
				}
			}
		}
		if told != len(c.truth) {
			t.Errorf("%s: %+v", c.hand, r.Quantities)
		}
		for i := range r.Curves {
			if was, now := r.Curves[i].Misfit(); !(now < was) {
				t.Errorf("%s, %s: misfit %g before and %g after", c.hand, r.Curves[i].Kind, was, now)
			}
		}
		if strings.Contains(strings.Join(r.Notes, " "), "contradict") {
			t.Errorf("%s: %q", c.hand, r.Notes)
		}
	}
}

// Every figure that a bench of the demonstration yields has an interval; tests of no difference have none to have.
func TestBenchFiguresHaveIntervals(t *testing.T) {
	for _, r := range slices.Concat(numbersOfAir(), numbersOfTendons(), numbersOfTweezer()) {
		kind, _ := handtest.Find(r.Test)
		table, err := readings.Read(strings.NewReader(r.Table), kind.Columns)
		if err != nil {
			t.Fatal(err)
		}
		s := handtest.Settings{Level: .95, Terms: max(1, r.Terms), Ramp: r.Ramp, Limit: math.NaN(), Unit: r.Unit}
		if r.Limit != nil {
			s.Limit = *r.Limit
		}
		report, err := kind.Compute(table, s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range report.Figures {
			if f.Low == nil && f.High == nil && !strings.HasPrefix(f.Name, "F of ") && !strings.HasPrefix(f.Name, "p of ") {
				t.Errorf("%s %s: %s has no interval: %s", r.Hand, r.Test, f.Name, f.Basis)
			}
		}
		if len(report.Series) == 0 {
			t.Errorf("%s %s has no plot", r.Hand, r.Test)
		}
	}
}
