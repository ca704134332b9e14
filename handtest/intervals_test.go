package handtest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"holdfast/numeric"
)

// held counts how often 90 % intervals hold a truth; a limit that is missing holds.
type held map[string]int

func (h held) look(t *testing.T, r *Report, name, group string, truth float64) {
	f := figure(t, r, name, group)
	if (f.Low == nil || *f.Low <= truth) && (f.High == nil || truth <= *f.High) {
		h[name]++
	} else {
		h[name] += 0
	}
}

func (h held) within(t *testing.T, what string, least, most int) {
	t.Helper()
	if n, there := h[what]; !there || n < least || n > most {
		t.Errorf("%s: %d intervals of 90 %% hold the truth, %d to %d were expected", what, n, least, most)
	}
}

// Of 500 intervals 450 hold the truth, with a standard deviation of 6.7. Bonferroni's limits hold it more often.
func TestCoverageOfFits(t *testing.T) {
	const runs = 500
	r := numeric.Stream(13, "fits")
	s := usual()
	s.Level = .9
	h := held{}
	for range runs {
		var grip, bend, twice, relax strings.Builder
		grip.WriteString("diameter_mm,force_N\n")
		bend.WriteString("pressure_kPa,angle_deg\n")
		twice.WriteString("bench,pressure_kPa,force_N\n")
		relax.WriteString("time_s,force_N\n")
		for _, d := range []float64{30, 45, 60, 75, 90} {
			for range 3 {
				fmt.Fprintf(&grip, "%g,%.12g\n", d, 20-.005*(d-66)*(d-66)+.8*r.NormFloat64())
			}
		}
		for k := range 8 {
			p := 10 * float64(k+1)
			fmt.Fprintf(&bend, "%g,%.12g\n", p, p+.004*p*p+1.5*r.NormFloat64())
			for range 2 {
				fmt.Fprintf(&twice, "guided,%g,%.12g\n", p, p+.004*p*p+1.5*r.NormFloat64())
			}
		}
		for k := range 40 {
			at := .25 * float64(k)
			fmt.Fprintf(&relax, "%g,%.12g\n", at, 10+5*math.Exp(-at/2)+.15*r.NormFloat64())
		}
		for kind, b := range map[string]*strings.Builder{"grip": &grip, "bending": &bend, "blocking": &twice, "relaxation": &relax} {
			set := s
			set.Ramp = 1e-9
			rep, err := run(t, kind, b.String(), set)
			if err != nil {
				t.Fatal(err)
			}
			switch kind {
			case "grip":
				h.look(t, rep, "size gripped hardest", "", 66)
			case "relaxation":
				h.look(t, rep, "share that fades", "", 1./3)
			default:
				group := map[string]string{"blocking": "guided"}[kind]
				h.look(t, rep, "largest departure from the line", group, trueDeparture())
			}
		}
	}
	h.within(t, "size gripped hardest", 427, 473)
	h.within(t, "share that fades", 425, 475)
	h.within(t, "largest departure from the line", 910, 2*runs)
}

// trueDeparture is that of p + 0.004·p² at 10, 20 … 80 from its line through the origin.
func trueDeparture() float64 {
	xx, xy := 0.0, 0.0
	of := func(p float64) float64 { return p + .004*p*p }
	for p := 10.; p <= 80; p += 10 {
		xx, xy = xx+p*p, xy+p*of(p)
	}
	off := 0.0
	for p := 10.; p <= 80; p += 10 {
		off = math.Max(off, math.Abs(of(p)-xy/xx*p))
	}
	return off / of(80)
}

// The mean of one factor and of two, and the components of two, in groups that differ by chance.
func TestCoverageOfRandomGroups(t *testing.T) {
	const runs = 300
	r := numeric.Stream(14, "groups")
	s := usual()
	s.Level = .9
	one, two := held{}, held{}
	for range runs {
		var a, b strings.Builder
		a.WriteString("group,value\n")
		b.WriteString("group,operator,value\n")
		people := [4]float64{}
		for o := range people {
			people[o] = .7 * r.NormFloat64()
		}
		for g := range 8 {
			piece := 2 * r.NormFloat64()
			for range 2 + g%3 {
				fmt.Fprintf(&a, "piece %d,%.12g\n", g, 50+piece+r.NormFloat64())
			}
			for o, person := range people {
				both := .8 * r.NormFloat64()
				for range 3 {
					fmt.Fprintf(&b, "piece %d,person %d,%.12g\n", g, o, 50+piece+person+both+.5*r.NormFloat64())
				}
			}
		}
		rep, err := run(t, "repeatability", a.String(), s)
		if err != nil {
			t.Fatal(err)
		}
		one.look(t, rep, "mean", "", 50)
		if rep, err = run(t, "repeatability", b.String(), s); err != nil {
			t.Fatal(err)
		}
		for name, truth := range map[string]float64{
			"mean": 50, "repeatability standard deviation": .5, "standard deviation between operators": .7, "standard deviation between specimens": 2,
			"standard deviation of specimens with operators": .8, "reproducibility standard deviation": math.Sqrt(.25 + .49 + .64),
			"standard deviation of all": math.Sqrt(4 + .25 + .49 + .64),
		} {
			two.look(t, rep, name, "", truth)
		}
	}
	// 270 expected with a standard deviation of 5.2.
	one.within(t, "mean", 252, 288)
	for name := range two {
		two.within(t, name, 250, 292)
	}
}

func TestGroupsAndOperatorsMustBeComplete(t *testing.T) {
	for csv, want := range map[string]string{
		"group,operator,value\na,x,1\na,x,2\nb,x,1\nb,x,3\n":                                  "needs two of each; there are 2 and 1",
		"group,operator,value\na,x,1\na,x,2\na,y,1\na,y,3\nb,x,1\nb,x,2\nb,y,1\n":             "group b, operator y: 1 value(s)",
		"group,operator,value\na,x,1\na,y,1\nb,x,1\nb,y,1\n":                                  "group a, operator x: 1 value(s)",
		"group,operator,value\na,x,1\na,x,1\na,y,2\na,y,2\nb,x,3\nb,x,3\nb,y,4\nb,y,4\n":      "alike to the last digit",
		"group,operator,value_N\na,x,1\na,x,1\na,y,2\na,y,2\nb,x,3\nb,x,3\nb,y,4\nb,y,four\n": "row 9",
	} {
		if _, err := run(t, "repeatability", csv, usual()); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
}
