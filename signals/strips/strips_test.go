package strips_test

import (
	"bytes"
	"context"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	"holdfast/signals/calibrate"
	"holdfast/signals/strips"
)

// The invented finger's curvatures come back with the errors that are stated, and so does the shape that follows from the truth.
func TestInventedFingerIsFound(t *testing.T) {
	v := strips.Invent(1)
	f, err := strips.NewFinger(v.Calibrations, v.Places, strips.Fitting{Monotone: true})
	if err != nil {
		t.Fatal(err)
	}
	pulls, n, inside := 0.0, 0.0, 0
	for i, signals := range v.Record.Readings {
		b, err := f.Shape(signals, 4)
		if err != nil {
			t.Fatal(err)
		}
		for k, c := range b.Curvatures {
			pull := (c - v.Curvatures[i][k]) / b.SDs[k]
			pulls += pull * pull
			n++
		}
		truth := []calibrate.Stretch{{Length: 0.01}}
		for k, c := range v.Curvatures[i] {
			truth = append(truth, calibrate.Stretch{Length: 0.018, Curvature: c})
			if k+1 < len(v.Curvatures[i]) {
				truth = append(truth, calibrate.Stretch{Length: 0.002, Curvature: (c + v.Curvatures[i][k+1]) / 2})
			}
		}
		poses, err := calibrate.Shape(truth, 4)
		if err != nil {
			t.Fatal(err)
		}
		last := len(poses) - 1
		if len(b.Poses) != len(poses) {
			t.Fatalf("%d poses, want %d", len(b.Poses), len(poses))
		}
		if math.Abs(b.Poses[last].X-poses[last].X) < 1.96*b.X[last] {
			inside++
		}
	}
	// The curves' own errors come on top of the stated ones, which are those of one reading.
	if mean := pulls / n; mean < 0.6 || mean > 2 {
		t.Errorf("mean squared pull %g", mean)
	}
	if share := float64(inside) / float64(len(v.Record.Readings)); share < 0.8 {
		t.Errorf("the tip lies within its interval in %g of the frames", share)
	}
}

// A length that no strip covers bends as the mean of its neighbours, a rigid one not at all.
func TestGapsAndRigidLengths(t *testing.T) {
	line := func() (c strips.Calibration) {
		for _, x := range []float64{0, 0, 10, 10, 20, 20} {
			c.Curvatures, c.Signals = append(c.Curvatures, x), append(c.Signals, 2*x)
		}
		return c
	}
	places := []strips.Place{{Strip: -1, From: 0, To: 0.01}, {Strip: 0, From: 0.01, To: 0.03}, {Strip: 1, From: 0.05, To: 0.07}}
	f, err := strips.NewFinger([]strips.Calibration{line(), line()}, places, strips.Fitting{Degree: 1})
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Shape([]float64{20, 60}, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := 10*0.02 + 20*0.02 + 30*0.02
	if got := b.Poses[len(b.Poses)-1].Turn; math.Abs(got-want) > 1e-9 || b.Poses[1].Turn != 0 || len(b.Beyond) != 1 || b.Beyond[0] != 1 {
		t.Errorf("turned by %g, want %g: %+v", got, want, b)
	}
	// Only the gap is uncertain here: its curvature by half of the difference, 10, by √3.
	if got, want := b.Turn[len(b.Turn)-1], 0.02*10/math.Sqrt(3); math.Abs(got-want) > 1e-9 {
		t.Errorf("the turn is known to %g, want %g", got, want)
	}
}

func TestFilesOfStripsComeBack(t *testing.T) {
	v := strips.Invent(2)
	check := func(write func(io.Writer) error, read func(io.Reader) (any, error), want any) {
		t.Helper()
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		got, err := read(&b)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%.200v came back (%v), %.200v was written", got, err, want)
		}
	}
	check(func(w io.Writer) error { return strips.WriteCalibrations(w, v.Calibrations) }, func(r io.Reader) (any, error) { return strips.ReadCalibrations(r) }, v.Calibrations)
	check(func(w io.Writer) error { return strips.WritePlaces(w, v.Places) }, func(r io.Reader) (any, error) { return strips.ReadPlaces(r) }, v.Places)
	check(func(w io.Writer) error { return strips.WriteRecord(w, &v.Record) }, func(r io.Reader) (any, error) { return strips.ReadRecord(r) }, &v.Record)
}

func FuzzFiles(f *testing.F) {
	calibration := "strip,curvature_per_m,signal\n1,0,1\n1,0,1.1\n1,10,2\n1,10,2.1\n"
	f.Add(calibration, "strip,from_mm,to_mm\n0,0,5\n1,5,20\n", "time_s,strip_1\n0,1\n1,2\n", true)
	f.Add(calibration, "strip,from_mm,to_mm\n1,5,20\n", "time_s,strip_1\n0,-1e15\n", false)
	f.Add("strip,curvature_per_m,signal\n2,0,1\n", "strip,from_mm,to_mm\n1,5,4\n", "time_s,strip_2\n0,1\n", false)
	f.Fuzz(func(t *testing.T, calibration, places, record string, monotone bool) {
		c, err := strips.ReadCalibrations(strings.NewReader(calibration))
		if err != nil && c != nil {
			t.Fatal("calibrations with an error")
		}
		p, err := strips.ReadPlaces(strings.NewReader(places))
		if err != nil && p != nil {
			t.Fatal("places with an error")
		}
		r, err := strips.ReadRecord(strings.NewReader(record))
		if err != nil && r != nil {
			t.Fatal("a record with an error")
		}
		finger, err := strips.NewFinger(c, p, strips.Fitting{Monotone: monotone, Degree: 1})
		if err != nil || r == nil {
			return
		}
		_, _ = strips.Watch(context.Background(), finger, p, r, 0.95, 2)
	})
}
