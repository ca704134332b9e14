package handtest

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"holdfast/numeric"
)

func TestCost(t *testing.T) {
	r, err := run(t, "cost", examples["cost"], usual())
	if err != nil {
		t.Fatal(err)
	}
	f := figure(t, r, "cost", "soft")
	near(t, "cost", f.Value, .003+3e-6, 1e-15)
	near(t, "low", *f.Low, .0018+3e-6, 1e-15)
	near(t, "high", *f.High, .009+3e-6, 1e-15)
	if e := figure(t, r, "of that energy", "soft"); e.Low != nil || e.High != nil || !strings.Contains(e.Basis, "no interval") {
		t.Errorf("one reading of the energy has limits: %+v", e)
	}
}

// Two hands with three readings each, reckoned by hand: energy of 3600 J at 0.1 for the kilowatt-hour costs 0.0001.
func TestCostOfSeveralReadings(t *testing.T) {
	const head = "hand,price,life_picks,life_low_picks,life_high_picks,upkeep_per_pick,energy_J_per_pick,energy_price_per_kWh\n"
	r, err := run(t, "cost", head+"soft,100,100000,80000,125000,0.0004,3600,0.1\nsoft,100,100000,80000,125000,0.0005,7200,0.1\nsoft,100,100000,80000,125000,0.0006,10800,0.1\n"+
		"firm,50,100000,50000,200000,0.001,3600,0.1\nfirm,50,100000,50000,200000,0.001,3600,0.1\nfirm,50,100000,50000,200000,0.001,3600,0.1\n", usual())
	if err != nil {
		t.Fatal(err)
	}
	student := numeric.StudentQuantile(.975, 2) / math.Sqrt(3)
	energy, upkeep, whole := figure(t, r, "of that energy", "soft"), figure(t, r, "of that upkeep", "soft"), figure(t, r, "cost", "soft")
	near(t, "energy", energy.Value, .0002, 1e-15)
	near(t, "energy's upper limit", *energy.High, .0002+.0001*student, 1e-15)
	near(t, "energy's lower limit", *energy.Low, 0, 0)
	near(t, "upkeep's upper limit", *upkeep.High, .0005+.0001*student, 1e-15)
	near(t, "cost", whole.Value, .0017, 1e-15)
	near(t, "cost's upper limit", *whole.High, .0017+math.Sqrt(.00025*.00025+2*1e-8*student*student), 1e-15)
	near(t, "firm cost", figure(t, r, "cost", "firm").Value, .0016, 1e-15)

	names := []string{}
	for _, s := range r.Series {
		names = append(names, s.Name+" "+s.Draw)
	}
	if want := []string{"price bars", "upkeep bars", "energy bars", "all together bars", "interval whiskers"}; !slices.Equal(names, want) || !slices.Equal(r.Labels, []string{"soft", "firm"}) {
		t.Errorf("series %q over %q", names, r.Labels)
	}
	whiskers := r.Series[4].Points
	if len(whiskers) != 16 || whiskers[1] != [2]float64{r.Series[0].Points[0][0], *figure(t, r, "of that price", "soft").High} {
		t.Errorf("whiskers %v", whiskers)
	}
	if _, err := run(t, "cost", head+"soft,100,100000,80000,125000,0,1,0.1\nsoft,101,100000,80000,125000,0,1,0.1\n", usual()); err == nil || !strings.Contains(err.Error(), "row 3, column price") {
		t.Errorf("two prices of one hand: %v", err)
	}
}

// The interval of the whole holds the truth about as often as those of its parts say.
func TestCoverageOfCost(t *testing.T) {
	const runs = 600
	r := numeric.Stream(12, "cost")
	s := usual()
	s.Level = .9
	whole, energy := 0, 0
	for range runs {
		// The life's limits are those of a logarithm that is known to within a tenth.
		off, z := .1*r.NormFloat64(), numeric.NormalQuantile(.95)
		var b strings.Builder
		b.WriteString("hand,price,life_picks,life_low_picks,life_high_picks,energy_J_per_pick,energy_price_per_kWh\n")
		for range 6 {
			fmt.Fprintf(&b, "soft,100,%.12g,%.12g,%.12g,%.12g,3.6\n", 1e5*math.Exp(off), 1e5*math.Exp(off-.1*z), 1e5*math.Exp(off+.1*z), 1000+250*r.NormFloat64())
		}
		rep, err := run(t, "cost", b.String(), s)
		if err != nil {
			t.Fatal(err)
		}
		holds := func(name string, truth float64) int {
			if f := figure(t, rep, name, "soft"); *f.Low <= truth && truth <= *f.High {
				return 1
			}
			return 0
		}
		whole, energy = whole+holds("cost", .002), energy+holds("of that energy", .001)
	}
	// 540 expected with a standard deviation of 7.3.
	for what, n := range map[string]int{"cost": whole, "energy": energy} {
		if n < 515 || n > 565 {
			t.Errorf("%s: %d of %d intervals of 90 %% hold the truth", what, n, runs)
		}
	}
}
