package pads_test

import (
	"bytes"
	"context"
	"io"
	"reflect"
	"strings"
	"testing"

	"holdfast/readings"
	"holdfast/signals/pads"
)

// What is written is read again as it was.
func TestFilesOfPadsComeBack(t *testing.T) {
	v := pads.Invent(3)
	var b bytes.Buffer
	check := func(write func(io.Writer) error, read func(io.Reader) (any, error), want any) {
		t.Helper()
		b.Reset()
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		got, err := read(&b)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%.200v came back, %.200v was written", got, want)
		}
	}
	check(func(w io.Writer) error { return pads.WritePresses(w, v.Presses) }, func(r io.Reader) (any, error) { return pads.ReadPresses(r) }, v.Presses)
	check(func(w io.Writer) error { return pads.WriteRecord(w, &v.Record) }, func(r io.Reader) (any, error) { return pads.ReadRecord(r) }, &v.Record)
	check(func(w io.Writer) error { return pads.WritePlaces(w, v.Places) }, func(r io.Reader) (any, error) { return pads.ReadPlaces(r) }, v.Places)
}

// A contact keeps its number while it moves on, and gets a new one after it was gone.
func TestContactsKeepTheirNumbers(t *testing.T) {
	r := newRig(9, 4)
	record := &readings.Series{}
	for i, at := range []int{0, 1, 2, -1, 2, 14} {
		forces := make([]float64, 16)
		if at >= 0 {
			forces[at] = 1
			if i < 2 {
				forces[at+1] = 0.8
			}
		}
		record.Times, record.Readings = append(record.Times, float64(i)), append(record.Readings, r.read(forces))
	}
	report, err := pads.Watch(context.Background(), r.array(t), record, 1e-6)
	if err != nil {
		t.Fatal(err)
	}
	var numbers []int
	for _, f := range report.Frames {
		if len(f.Contacts) == 0 {
			numbers = append(numbers, 0)
			continue
		}
		numbers = append(numbers, f.Contacts[0].Contact)
	}
	if want := []int{1, 1, 1, 0, 2, 3}; !reflect.DeepEqual(numbers, want) {
		t.Errorf("contacts %v, want %v", numbers, want)
	}
	if e := report.Contacts[0]; e.From != 0 || e.To != 2 || e.Frames != 3 || e.At > 1 {
		t.Errorf("%+v", e)
	}
}

func FuzzFiles(f *testing.F) {
	f.Add("pressed_pad,force_N,pad_1\n0,0,1\n", "pad,x_mm,y_mm\n1,0,0\n", "time_s,pad_1\n0,1\n")
	f.Fuzz(func(t *testing.T, presses, places, record string) {
		list, err := pads.ReadPresses(strings.NewReader(presses))
		if err != nil && list != nil {
			t.Fatal("presses with an error")
		}
		where, err := pads.ReadPlaces(strings.NewReader(places))
		if err != nil && where != nil {
			t.Fatal("places with an error")
		}
		r, err := pads.ReadRecord(strings.NewReader(record))
		if err != nil && r != nil {
			t.Fatal("a record with an error")
		}
		c, err := pads.Calibrate(list)
		if err != nil || r == nil {
			return
		}
		if a, err := pads.NewArray(c, where); err == nil {
			_, _ = pads.Watch(context.Background(), a, r, 0.01)
		}
	})
}
