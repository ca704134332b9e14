package handtest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/readings"
)

// examples holds a small record of each test.
var examples = map[string]string{
	"closing": "cycle,direction,time_s,command,aperture_mm\n1,closing,0,0,100\n1,closing,0.5,0.5,60\n1,closing,1,1,0\n1,opening,1.5,1,0\n1,opening,2,0.5,50\n1,opening,2.5,0,100\n" +
		"2,closing,0,0,100\n2,closing,0.6,0.5,60\n2,closing,1.2,1,0\n2,opening,1.5,1,0\n2,opening,2,0.5,48\n2,opening,2.7,0,100\n",
	"strength":      "finger,peak_force_N\nthumb,12\nthumb,13\nthumb,11\nfirst,8\n",
	"grip":          "diameter_mm,force_N\n30,10\n30,11\n50,20\n50,21\n70,12\n70,11\n",
	"payload":       "load_N,end\n5,slipped\n6,slipped\n7.5,slipped\n8,slipped\n10,held\n10,held\n",
	"touch":         "force_N,told\n0,no\n0,no\n0,yes\n0.05,no\n0.05,no\n0.1,no\n0.1,yes\n0.2,no\n0.2,yes\n0.4,yes\n0.4,yes\n0.8,yes\n",
	"stiffness":     "direction,cycle,branch,deflection_mm,force_N\nsideways,1,loading,0,0\nsideways,1,loading,5,5\nsideways,1,loading,10,10\nsideways,1,unloading,10,10\nsideways,1,unloading,5,4\nsideways,1,unloading,0,0\n",
	"relaxation":    "time_s,force_N\n0,0\n0.5,10\n1,9\n1.5,8.4\n2,8\n3,7.5\n4,7.2\n6,7.05\n8,7\n",
	"repeatability": "group,value\na,1\na,1.2\nb,2\nb,2.1\n",
	"wear":          "cycles,value\n0,10\n1000,9.8\n2000,9.7\n3000,9.4\n",
	"life":          "cycles,end\n1000,failed\n2000,failed\n2500,running\n3000,failed\n",
	"bending":       "pressure_kPa,angle_deg\n20,35\n40,70\n60,105\n80,138\n",
	"blocking":      "bench,pressure_kPa,force_N\nguided,40,1\nguided,80,2\ntip-held,40,1.5\ntip-held,80,2.9\n",
	"tendon":        "direction,travel_mm,angle_deg,tension_N\nclosing,0,0,0\nclosing,5,45,2\nclosing,10,90,4\nopening,10,90,3\nopening,5,45,1.5\nopening,0,0,0\n",
	"cost":          "hand,price,life_picks,life_low_picks,life_high_picks,energy_J_per_pick,energy_price_per_kWh\nsoft,900,300000,100000,500000,36,0.3\n",
}

func TestEveryTestHasAnExampleWithFigures(t *testing.T) {
	for _, k := range Kinds() {
		r, err := run(t, k.Name, examples[k.Name], usual())
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		if len(r.Figures) == 0 || len(r.Series) == 0 {
			t.Errorf("%s: %+v", k.Name, r)
		}
		for _, f := range r.Figures {
			if f.Low != nil && *f.Low > f.Value || f.High != nil && *f.High < f.Value || f.Basis == "" {
				t.Errorf("%s: %s %g is not inside its limits, or has no basis", k.Name, f.Name, f.Value)
			}
		}
	}
}

func TestEveryTestSaysHowItIsDoneSafely(t *testing.T) {
	for _, k := range Kinds() {
		in := k.Instruction()
		if len(in.How) < 40 || len(in.Cautions) == 0 || in.Source == "" {
			t.Errorf("%s: %+v", k.Name, in)
		}
	}
}

func TestBendingAndBlocking(t *testing.T) {
	r, err := run(t, "bending", examples["bending"], usual())
	if err != nil {
		t.Fatal(err)
	}
	// Σpθ/Σp² by hand: (700 + 2800 + 6300 + 11040)/12000.
	near(t, "angle per pressure", figure(t, r, "angle per pressure", "").Value, 20840./12000, 1e-12)
	if r, err = run(t, "blocking", examples["blocking"], usual()); err != nil {
		t.Fatal(err)
	}
	near(t, "guided", figure(t, r, "force per pressure", "guided").Value, 1./40, 1e-12)
	near(t, "tip-held", figure(t, r, "force per pressure", "tip-held").Value, (60+232)/8000., 1e-12)
}

func TestTendon(t *testing.T) {
	r, err := run(t, "tendon", examples["tendon"], usual())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "travel", figure(t, r, "travel per angle", "").Value, 20/math.Pi, 1e-12)
	near(t, "closing", figure(t, r, "tension per angle, closing", "").Value, 8/math.Pi, 1e-12)
	near(t, "friction", figure(t, r, "friction times curve", "").Value, math.Log(4./3)/2, 1e-12)
}

// Johnson's adjusted ranks, by hand.
func TestWeibullPlot(t *testing.T) {
	r, err := run(t, "life", examples["life"], usual())
	if err != nil {
		t.Fatal(err)
	}
	if r.Axes != WeibullAxes || len(r.Series) != 3 || r.Series[1].Draw != Open || len(r.Series[1].Points) != 1 {
		t.Fatalf("%+v", r.Series)
	}
	// Four pieces, the third still running: ranks 1, 2 and 2 + (5 − 2)/(1 + 1) = 3.5.
	for i, rank := range []float64{1, 2, 3.5} {
		near(t, "position", r.Series[0].Points[i][1], (rank-.3)/4.4, 1e-12)
	}
}

func TestClosingTimesAndGap(t *testing.T) {
	r, err := run(t, "closing", examples["closing"], usual())
	if err != nil {
		t.Fatal(err)
	}
	// Cycle 1 passes 95 mm at 0.0625 s and 5 mm at 0.958333 s; cycle 2 is slower by a fifth.
	near(t, "closing", figure(t, r, "closing time, 5 % to 95 % of the stroke", "").Value, (.958333333333-.0625)*1.1, 1e-9)
	near(t, "stroke", figure(t, r, "stroke", "").Value, 100, 0)
	near(t, "cycle", figure(t, r, "cycle time", "").Value, 2.6, 1e-12)
	near(t, "gap", figure(t, r, "widest gap between closing and opening at one command", "").Value, 11, 1e-12)
	if p := r.Series[1].Points; p[0] != [2]float64{1, 0} || p[2] != [2]float64{0, 100} {
		t.Errorf("the opening is not plotted in the order it was taken: %v", p)
	}
}

func TestStiffnessAndLoss(t *testing.T) {
	r, err := run(t, "stiffness", examples["stiffness"], usual())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "loading", figure(t, r, "stiffness, loading", "sideways").Value, 1, 1e-12)
	near(t, "unloading", figure(t, r, "stiffness, unloading", "sideways").Value, 1, 1e-12)
	near(t, "work", figure(t, r, "work of loading", "sideways").Value, 50, 1e-12)
	near(t, "lost", figure(t, r, "share lost in the loop", "sideways").Value, .1, 1e-12) // 50 in, 45 back
}

func TestWearToALimit(t *testing.T) {
	s := usual()
	s.Limit = 9
	r, err := run(t, "wear", examples["wear"], s)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "drift", figure(t, r, "drift in 1000 cycles", "").Value, -.19, 1e-12)
	near(t, "cycles", figure(t, r, "cycles to 9", "").Value, (10.01-9)/.19*1000, 1e-6)
	if !strings.Contains(strings.Join(r.Notes, " "), "beyond the 3000 cycles") {
		t.Errorf("nothing is said of going beyond the record: %q", r.Notes)
	}
	// The slope's error by the textbook: s²/Sxx with residuals .01 of both signs.
	f := figure(t, r, "drift in 1000 cycles", "")
	se := math.Sqrt((.01*.01+.02*.02+.07*.07+.04*.04)/2/5e6) * 1000
	if want := numeric.StudentQuantile(.975, 2) * se; math.Abs((*f.High-f.Value)-want) > .2*want {
		t.Errorf("half width %g, about %g expected", *f.High-f.Value, want)
	}
}

// Intervals hold the truth about as often as they say: thresholds of touch, and the life that a tenth does not reach.
func TestCoverage(t *testing.T) {
	const runs = 300
	r := numeric.Stream(11, "coverage")
	s := Settings{Level: .9, Terms: 1, Limit: math.NaN()}
	touched, lived := 0, 0
	for range runs {
		var b strings.Builder
		b.WriteString("force_N,told\n")
		for i := range 80 {
			f := []float64{.05, .1, .2, .4, .8}[i%5]
			told := "no"
			if r.Float64() < 1/(1+math.Exp(-2.5*math.Log(f/.2))) {
				told = "yes"
			}
			fmt.Fprintf(&b, "%g,%s\n", f, told)
		}
		rep, err := run(t, "touch", b.String(), s)
		if err != nil {
			t.Fatal(err)
		}
		if f := figure(t, rep, "force told 50 % of the time", ""); (f.Low == nil || *f.Low <= .2) && (f.High == nil || .2 <= *f.High) {
			touched++
		}
		values, failed := make([]float64, 25), make([]bool, 25)
		for i := range values {
			values[i] = math.Min(1000*math.Sqrt(r.ExpFloat64()), 1100)
			failed[i] = values[i] < 1100
		}
		w, err := FitWeibull(values, failed, .9)
		if err != nil {
			t.Fatal(err)
		}
		truth := 1000 * math.Sqrt(-math.Log(.9))
		if _, low, high := w.Quantile(.1); low <= truth && truth <= high {
			lived++
		}
	}
	// 270 expected with a standard deviation of 5.2; likelihood limits of small records fall somewhat short.
	for what, n := range map[string]int{"touch": touched, "life": lived} {
		if n < 250 || n > 292 {
			t.Errorf("%s: %d of %d intervals of 90 %% hold the truth", what, n, runs)
		}
	}
}

func TestFaultsNameRowAndColumn(t *testing.T) {
	for _, c := range []struct{ kind, csv, want string }{
		{"grip", "", "no header"},
		{"grip", "diameter_mm\n30\n", "no column force_N"},
		{"grip", "diameter_mm,force_N,force_N\n30,1,2\n", "there twice"},
		{"grip", "diameter_mm,force_N\n", "no rows"},
		{"grip", "diameter_mm,force_N\n30,ten\n", `row 2, column force_N: must be a number with a decimal point (got "ten")`},
		{"grip", "diameter_mm,force_N\n30,1\n-3,NaN\n", "row 3, column diameter_mm: must be above 0"},
		{"grip", "diameter_mm,force_N\n30\n", "row 2, column force_N"},
		{"life", "cycles,end\n5,broke\n", "must be failed or running"},
		{"life", "cycles,end\n5,failed\n6,running\n", "two are needed"},
		{"closing", "cycle,direction,time_s,command,aperture_mm\n1,closing,0,0,9\n1,closing,0,0,8\n1,closing,1,0,7\n", "does not rise"},
		{"relaxation", "time_s,force_N\n1,2\n0,1\n", "times must rise"},
		{"relaxation", "time_s,force_N\n0,2\n1,1\n", "too few"},
		{"repeatability", "group,value\na,1\nb,2\n", "read twice"},
		{"touch", "force_N,told\n1,yes\n1,no\n", "two forces"},
		{"touch", "force_N,told\n1,yes\n2,no\n1,yes\n2,no\n", "no threshold"},
		{"stiffness", "direction,cycle,branch,deflection_mm,force_N\nup,1,loading,1,1\n", "direction up, cycle 1, loading"},
		{"cost", "hand,price,life_picks,life_low_picks,energy_J_per_pick,energy_price_per_kWh\na,1,10,20,1,1\n", "row 2: life_picks"},
	} {
		r, err := run(t, c.kind, c.csv, usual())
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s %q: want %q, got %v %v", c.kind, c.csv, c.want, r, err)
		}
	}
	if _, err := run(t, "life", examples["life"], Settings{Level: 2}); err == nil {
		t.Error("a level of 2 passes")
	}
}

// Whatever a table holds, a test answers with finite figures or with an error.
func FuzzTests(f *testing.F) {
	for _, k := range Kinds() {
		f.Add(k.Name, examples[k.Name])
	}
	f.Add("relaxation", "time_s,force_N\n0,1e15\n1,-1e15\n2,0\n3,0\n4,0\n5,1\n")
	f.Add("repeatability", "group,operator,value\na,x,1\na,x,1.2\na,y,2\na,y,2.1\nb,x,3\nb,x,3.1\nb,y,4\nb,y,4.3\n")
	f.Add("life", "cycles,end\n1e-15,failed\n1e15,failed\n")
	f.Fuzz(func(t *testing.T, kind, csv string) {
		k, ok := Find(kind)
		if !ok || len(csv) > 3000 {
			return
		}
		table, err := readings.Read(strings.NewReader(csv), k.Columns)
		if err != nil {
			return
		}
		if r, err := k.Compute(table, usual()); err == nil {
			for _, f := range r.Figures {
				if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) {
					t.Fatalf("%+v", f)
				}
			}
		}
	})
}
