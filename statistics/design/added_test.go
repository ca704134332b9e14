package design

import (
	"math"
	"reflect"
	"testing"
)

func TestAddedOffsetsAreThePlansKind(t *testing.T) {
	disc := Offset{Kind: OffsetDisc, Radius: 0.01}
	first, err := AddedOffsets(disc, 7, 40, 64)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := AddedOffsets(disc, 7, 40, 64)
	other, _ := AddedOffsets(disc, 7, 104, 64)
	if !reflect.DeepEqual(first, again) || reflect.DeepEqual(first, other) {
		t.Error("a batch's offsets must be the same each time, and other than the next batch's")
	}
	inner := 0
	for _, o := range first {
		r := math.Hypot(o[0], o[1])
		if r > 0.01+1e-6 || o[2] != 0 {
			t.Fatalf("offset %v lies outside the disc", o)
		}
		if r < 0.01/math.Sqrt2 {
			inner++
		}
	}
	// Half of the disc's area lies within 1/√2 of its radius; the sequence is even.
	if inner < 28 || inner > 36 {
		t.Errorf("%d of 64 offsets lie in the inner half of the area", inner)
	}
	if none, err := AddedOffsets(Offset{Kind: OffsetNone}, 7, 0, 2); err != nil || none[0] != ([3]float64{}) {
		t.Errorf("%v, %v", none, err)
	}
}
