package detect

import (
	"math"
	"slices"
	"strings"
	"testing"

	"holdfast/numeric"
)

// usual are the settings that the command has by default.
var usual = SlipSettings{FalseAlarmsPerHour: 6, Shift: 2, LowHz: 40, HighHz: 400, Window: 0.01, Least: 0.03, Ring: 0.01, Quiet: 0.5, HoldOff: 0.1}

// Slips of invented records are told soon, knocks are not.
func TestSlipsAreToldAndKnocksAreNot(t *testing.T) {
	s := usual
	s.Quiet = inventedQuiet
	var list []JudgedRecord
	for n := range 60 {
		v := InventSlip(5, n)
		found, err := FindSlips(v.Times, v.Values, s)
		if err != nil {
			t.Fatal(err)
		}
		r := JudgedRecord{From: inventedQuiet, To: inventedSeconds, Events: v.Slips, Peak: found.Peak, After: s.HoldOff}
		for _, f := range found.Found {
			r.Alarms = append(r.Alarms, f.Time)
			if !(f.Began < f.Time && f.Time <= f.Ended && f.Loudest > 3) {
				t.Errorf("record %d: %+v", n, f)
			}
		}
		list = append(list, r)
		knocked := n%2 == 1 && slices.ContainsFunc(v.Knocks, func(at float64) bool { return math.Abs(at-v.Slips[0][1]-0.1) < 0.2 })
		if n%2 == 1 && len(found.Found) == 1 && !knocked {
			if late := found.Found[0].Ended - v.Slips[0][1]; math.Abs(late) > 0.12 {
				t.Errorf("record %d: ended %.3f s after it did", n, late)
			}
		}
	}
	j, err := Judge(list, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d of %d slips told after %.0f ms (median), %d false alarms in %.0f s, area %.3f", j.Found, j.Events, 1000*j.MedianDelay(), j.FalseAlarms, 3600*j.Hours, j.Area.AUC)
	if j.Found < j.Events-1 || j.MedianDelay() > 0.07 || j.FalseAlarms > 1 || j.Area.AUC < 0.98 {
		t.Errorf("%+v", *j)
	}
}

// Scores of noise are normal with unit spread, so that the threshold has the run length it was set for; alarms are no more than allowed.
func TestSlipFalseAlarmsAreNoMoreThanAllowed(t *testing.T) {
	const n, rate = 4_000_000, 1000.0
	r := numeric.Stream(3, "slip noise")
	time, value := make([]float64, n), make([]float64, n)
	for i := range time {
		time[i], value[i] = float64(i)/rate, r.NormFloat64()
	}
	s := usual
	s.FalseAlarmsPerHour, s.Quiet, s.Shift = 120, 200, 1
	found, err := FindSlips(time, value, s)
	if err != nil {
		t.Fatal(err)
	}
	allowed := 120.0 / 3600 * n / rate
	t.Logf("%d false alarms, %.0f allowed; freedom %.2f of %g, carry-over %.2f", len(found.Found), allowed, found.Freedom, 2*360*s.Window, found.Carry)
	if got := float64(len(found.Found)); got > allowed+4*math.Sqrt(allowed) || got < allowed/4 {
		t.Errorf("%g false alarms, %g were allowed", got, allowed)
	}
	// Noise in a band of B Hz over T s has about 2·B·T degrees of freedom (J. S. Bendat and A. G. Piersol, Random Data, the error of
	// band power; value from memory); the filter's slopes let more in.
	if want := 2 * 360 * s.Window; found.Freedom < 0.8*want || found.Freedom > 1.3*want {
		t.Errorf("%.2f degrees of freedom, expected about %g", found.Freedom, want)
	}
	if found.Heavy {
		t.Error("normal noise is called heavy")
	}
}

func TestSlipRefusals(t *testing.T) {
	v := InventSlip(1, 0)
	good := usual
	for want, change := range map[string]func(*SlipSettings){
		"must be above 0":          func(s *SlipSettings) { s.Shift = 0 },
		"no shorter than a window": func(s *SlipSettings) { s.Least = 0.001 },
		"can not be heard":         func(s *SlipSettings) { s.LowHz = 950 },
		"at least 4":               func(s *SlipSettings) { s.Window = 0.001 },
		"20 are needed":            func(s *SlipSettings) { s.Quiet = 0.2 },
	} {
		s := good
		change(&s)
		if _, err := FindSlips(v.Times, v.Values, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	if _, err := FindSlips(v.Times, make([]float64, len(v.Times)), good); err == nil || !strings.Contains(err.Error(), "does not shake") {
		t.Errorf("%v", err)
	}
	if _, err := FindSlips(v.Times[:5], v.Values[:5], good); err == nil {
		t.Error("five readings are taken")
	}
	if _, err := FindSlips(make([]float64, len(v.Times)), v.Values, good); err == nil || !strings.Contains(err.Error(), "must rise") {
		t.Errorf("all at one time: %v", err)
	}
}

// Loud windows are counted once, as a slip's or as passed over, also where some of a slip's are loud only by what rings on.
func TestBurstsArePassedOverOnce(t *testing.T) {
	powers := make([]float64, 400)
	for i := range powers {
		powers[i] = 1
	}
	powers[100], powers[300] = 30, 30 // knocks
	for i := 200; i < 230; i += 2 {
		powers[i], powers[i+1] = 50, 7 // a slip, of which every second window rings on
	}
	const k = 1
	o := &Slips{Power: 1, Freedom: 8, Threshold: 4, Cap: k + 4./3}
	o.sum(powers, 0, k, 0.1, 10, func(window int) float64 { return 0.01 * float64(window) })
	if len(o.Found) != 1 || o.Bursts != 2 || math.Abs(o.Found[0].Began-2) > 1e-9 || math.Abs(o.Found[0].Ended-2.29) > 1e-9 || math.Abs(o.Found[0].Loudest-10*math.Log10(50)) > 1e-9 {
		t.Errorf("%+v", o)
	}
}

func TestJudge(t *testing.T) {
	list := []JudgedRecord{
		{From: 1, To: 11, Events: [][2]float64{{2, 3}, {5, 6}}, Alarms: []float64{0.5, 2.25, 2.5, 6.05, 9}, Peak: 9, After: 0.1},
		{From: 0, To: 10, Peak: 2},
		{From: 0, To: 10, Alarms: []float64{4}, Peak: 5},
	}
	j, err := Judge(list, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if j.Records != 3 || j.With != 1 || j.Events != 2 || j.Found != 1 || j.FalseAlarms != 2 || math.Abs(j.MedianDelay()-0.25) > 1e-12 || math.Abs(3600*j.Hours-27.8) > 1e-9 || j.Area == nil || j.Area.AUC != 1 || len(j.Curve) < 3 {
		t.Errorf("%+v", j)
	}
	// Exact limits of one event of two, and of two alarms in 27.8 h: by the beta and chi-square quantiles 0.0126 and 0.9874, 0.2422
	// and 7.2247 (Garwood's table for a count of two; value from memory).
	if math.Abs(j.Low-0.0126) > 1e-4 || math.Abs(j.High-0.9874) > 1e-4 || math.Abs(j.RateLow*j.Hours-0.2422) > 1e-4 || math.Abs(j.RateHigh*j.Hours-7.2247) > 1e-4 {
		t.Errorf("%+v", j)
	}
	// A second alarm in one event is no second find, and an event that begins while the one before rings out takes no time twice.
	close := []JudgedRecord{{From: 0, To: 3600, Events: [][2]float64{{100, 200}, {250, 350}}, Alarms: []float64{110, 120, 240, 260}, After: 100}}
	if c, err := Judge(close, 0.95); err != nil || c.Found != 2 || len(c.Delays) != 2 || c.FalseAlarms != 0 || math.Abs(3600*c.Hours-3250) > 1e-9 {
		t.Errorf("%+v, %v", c, err)
	}
	list[0].Events[1][0] = 2.5
	if _, err := Judge(list, 0.95); err == nil || !strings.Contains(err.Error(), "record 1: an event from 2.5 s") {
		t.Errorf("%v", err)
	}
	if _, err := Judge([]JudgedRecord{{From: 3, To: 3}}, 0.95); err == nil || !strings.Contains(err.Error(), "nothing is left") {
		t.Errorf("%v", err)
	}
	if none, err := Judge([]JudgedRecord{{From: 0, To: 1}}, 0.95); err != nil || none.Area != nil || !math.IsNaN(none.MedianDelay()) || none.Low != 0 || none.High != 1 {
		t.Errorf("%+v, %v", none, err)
	}
}
