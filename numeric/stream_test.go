package numeric

import "testing"

func TestStreamsAreReproducibleAndDistinct(t *testing.T) {
	first := map[uint64]string{}
	for _, c := range []struct {
		name  string
		seed  uint64
		index []int
	}{
		{"a", 1, nil}, {"a", 2, nil}, {"b", 1, nil}, {"a", 1, []int{0}}, {"a", 1, []int{1}},
		{"a", 1, []int{0, 0}}, {"a", 1, []int{-1}}, {"", 1, nil},
	} {
		one, two := Stream(c.seed, c.name, c.index...), Stream(c.seed, c.name, c.index...)
		draw := one.Uint64()
		if draw != two.Uint64() {
			t.Errorf("%q %d %v: the same arguments give different streams", c.name, c.seed, c.index)
		}
		if other, taken := first[draw]; taken {
			t.Errorf("%q %d %v: same first draw as %s", c.name, c.seed, c.index, other)
		}
		first[draw] = c.name
	}
}

func TestStreamStaysTheSameAcrossReleases(t *testing.T) {
	// Stored plans are redrawn from their seed: this number must never change.
	if got := Stream(7, "order", 3).Uint64(); got != pinnedDraw {
		t.Errorf("first draw is %d, was %d when plans were first stored", got, uint64(pinnedDraw))
	}
}

const pinnedDraw = 12157711432195713290
