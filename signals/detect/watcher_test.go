package detect

import (
	"math"
	"strings"
	"testing"

	"holdfast/numeric"
)

// noise is a record of white noise with so many readings a second.
func noise(seed uint64, n int, rate float64) (time, value []float64) {
	r := numeric.Stream(seed, "noise of detectors")
	time, value = make([]float64, n), make([]float64, n)
	for i := range time {
		time[i], value[i] = float64(i)/rate, 3+0.5*r.NormFloat64()
	}
	return time, value
}

// In noise alone every detector alarms as often as was allowed; a likelihood ratio that looks back over few readings only alarms less.
func TestDetectorsAlarmAsOftenAsAllowed(t *testing.T) {
	time, value := noise(4, 400_000, 100)
	for by, bounds := range map[Detector][2]float64{ByCUSUM: {0.92, 1.08}, ByEnergy: {0.92, 1.08}, ByGLR: {0.5, 1.02}} {
		o, err := FindOnsets(time, value, OnsetSettings{FalseAlarmsPerHour: 1800, Shift: 1, Quiet: 1000, Detector: by})
		if err != nil {
			t.Fatal(err)
		}
		if got := float64(len(o.Alarms)) / (4000.0 / 3600 * 1800); got < bounds[0] || got > bounds[1] {
			t.Errorf("%s: %.3f of the alarms that were allowed", by, got)
		}
	}
}

// A lasting change is told after the delay that was stated, on average over many.
func TestDetectorsTellTheirDelay(t *testing.T) {
	const rate, every, shift = 1000.0, 1000, 1.5
	for by, within := range map[Detector]float64{ByCUSUM: 0.05, ByEnergy: 0.08, ByGLR: 0.25} { // Lorden's delay is that of long run lengths; waits for windows scatter as much as they last
		time, value := noise(9, 3_000_000, rate)
		for i := range value {
			if i >= 100*rate && i/every%2 == 1 {
				value[i] += 0.5 * shift
			}
		}
		o, err := FindOnsets(time, value, OnsetSettings{FalseAlarmsPerHour: 3.6, Shift: shift, Quiet: 100, HoldOff: 1.2, Detector: by})
		if err != nil {
			t.Fatal(err)
		}
		sum, n := 0.0, 0
		for _, a := range o.Alarms {
			at := int(math.Round(a.Time * rate))
			if at/every%2 == 1 && a.Up {
				sum, n = sum+float64(at%every+1)/rate, n+1
				if early := float64(at%every)/rate - (a.Time - a.Began); early < -0.2 {
					t.Errorf("%s: told at %g s to have begun at %g s", by, a.Time, a.Began)
				}
			}
		}
		if got := sum / float64(n); n < 1300 || math.Abs(got/o.Delay-1) > within {
			t.Errorf("%s: %d changes told after %.4f s on average, stated %.4f s", by, n, got, o.Delay)
		}
	}
}

// A knock that rings leaves the mean where it was: its energy tells it.
func TestEnergyHearsWhatRings(t *testing.T) {
	time, value := noise(2, 20_000, 2000)
	for i := 12_000; i < 12_200; i++ {
		s := float64(i - 12_000)
		value[i] += 2 * math.Exp(-s/60) * math.Sin(2*math.Pi*s/4)
	}
	s := OnsetSettings{FalseAlarmsPerHour: 1, Shift: 1, Quiet: 2, HoldOff: 0.2, Detector: ByEnergy}
	o, err := FindOnsets(time, value, s)
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Alarms) != 1 || o.Alarms[0].Time < 6 || o.Alarms[0].Time > 6.025 || o.Peak < o.Threshold {
		t.Errorf("%+v, peak %g", o.Alarms, o.Peak)
	}
	s.Detector = ByCUSUM
	if o, err = FindOnsets(time, value, s); err != nil || len(o.Alarms) > 0 {
		t.Errorf("the sum told %+v, %v", o.Alarms, err)
	}
}

func TestDetectorsRefuse(t *testing.T) {
	time, value := noise(1, 400, 100)
	for want, s := range map[string]OnsetSettings{
		"is no detector":         {Detector: "ear", Quiet: 1},
		"is not possible":        {Detector: ByEnergy, Window: -1, Quiet: 1},
		"no longer than the 5 s": {Quiet: 5},
	} {
		s.FalseAlarmsPerHour, s.Shift = 100, 1
		if _, err := FindOnsets(time, value, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
