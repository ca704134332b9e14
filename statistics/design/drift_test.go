package design

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// trendByEnumeration spreads each stratum's held trials over its trials in every
// possible way.
func trendByEnumeration(blocks []ReferenceBlock) float64 {
	type trial struct{ block, held float64 }
	byStratum := map[string][]trial{}
	for _, b := range blocks {
		for i := range b.Trials {
			held := 0.0
			if i < b.Held {
				held = 1
			}
			byStratum[b.Stratum] = append(byStratum[b.Stratum], trial{float64(b.Block), held})
		}
	}
	scores := map[float64]float64{0: 1}
	observed, mean := 0.0, 0.0
	for _, trials := range byStratum {
		held, sum := 0, 0.0
		for _, x := range trials {
			observed += x.block * x.held
			held += int(x.held)
			sum += x.block
		}
		mean += float64(held) * sum / float64(len(trials))
		ways := map[float64]float64{}
		count := 0.0
		for set := range 1 << len(trials) {
			score, size := 0.0, 0
			for i, x := range trials {
				if set>>i&1 == 1 {
					score += x.block
					size++
				}
			}
			if size == held {
				ways[score]++
				count++
			}
		}
		next := map[float64]float64{}
		for a, p := range scores {
			for b, w := range ways {
				next[a+b] += p * w / count
			}
		}
		scores = next
	}
	p := 0.0
	for s, q := range scores {
		if math.Abs(s-mean) >= math.Abs(observed-mean)-1e-9 {
			p += q
		}
	}
	return p
}

func drawBlocks(t *rapid.T) []ReferenceBlock {
	var blocks []ReferenceBlock
	for _, stratum := range []string{"a", "b"} {
		left := 10
		for block := 1; block <= 4 && left > 0; block++ {
			n := rapid.IntRange(0, min(left, 4)).Draw(t, "trials")
			left -= n
			blocks = append(blocks, ReferenceBlock{block * 3, stratum, rapid.IntRange(0, n).Draw(t, "held"), n})
		}
	}
	return blocks
}

func TestDriftMatchesEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blocks := drawBlocks(t)
		d, err := ReferenceDrift(blocks)
		if err != nil {
			t.Fatal(err)
		}
		want := trendByEnumeration(blocks)
		if math.Abs(d.P-want) > 1e-9 {
			t.Fatalf("p = %.12g, by enumeration %.12g for %v", d.P, want, blocks)
		}
	})
}

func TestDriftMirrorsAndIgnoresOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		blocks := drawBlocks(t)
		failures := make([]ReferenceBlock, len(blocks))
		for i, b := range blocks {
			b.Held = b.Trials - b.Held
			b.Block += 40
			failures[len(blocks)-1-i] = b
		}
		one, err := ReferenceDrift(blocks)
		if err != nil {
			t.Fatal(err)
		}
		two, err := ReferenceDrift(failures)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(one.P-two.P) > 1e-9 || math.Abs(one.Z+two.Z) > 1e-9 {
			t.Fatalf("%+v against %+v", one, two)
		}
	})
}

func TestDriftIsNotFooledByAChangeOfHand(t *testing.T) {
	var mixed []ReferenceBlock
	for block := 1; block <= 12; block++ {
		b := ReferenceBlock{Block: block, Stratum: "good hand", Held: 2, Trials: 2}
		if block > 6 {
			b.Stratum, b.Held = "poor hand", block%2
		}
		mixed = append(mixed, b)
	}
	d, err := ReferenceDrift(mixed)
	if err != nil {
		t.Fatal(err)
	}
	if d.Drifting {
		t.Errorf("a change of hand is taken for drift: %+v", d)
	}
	for i := range mixed {
		mixed[i].Stratum = ""
	}
	if d, err = ReferenceDrift(mixed); err != nil || !d.Drifting {
		t.Errorf("a real fall is missed: %+v %v", d, err)
	}
}

func TestDriftSentences(t *testing.T) {
	fall := []ReferenceBlock{{1, "", 4, 4}, {2, "", 4, 4}, {3, "", 4, 4}, {4, "", 1, 4}, {5, "", 0, 4}, {6, "", 0, 4}}
	rise := make([]ReferenceBlock, len(fall))
	for i, b := range fall {
		rise[i] = ReferenceBlock{b.Block, "", 4 - b.Held, 4}
	}
	var long []ReferenceBlock
	for block := 1; block <= 400; block++ {
		long = append(long, ReferenceBlock{block * 50, "", block % 2, 2})
	}
	for _, c := range []struct {
		blocks []ReferenceBlock
		want   string
	}{
		{nil, "no reference trials yet"},
		{[]ReferenceBlock{{1, "", 3, 4}}, "at least two blocks"},
		{[]ReferenceBlock{{1, "", 4, 4}, {2, "", 2, 2}}, "All 6 reference trials held"},
		{[]ReferenceBlock{{1, "", 0, 4}, {2, "", 0, 2}}, "None of 6"},
		{[]ReferenceBlock{{1, "a", 4, 4}, {2, "a", 4, 4}, {3, "b", 0, 4}, {4, "b", 0, 4}}, "ended alike"},
		{[]ReferenceBlock{{1, "", 3, 4}, {2, "", 4, 4}}, "no clear sign of drift"},
		{fall, "falls over the blocks: 12 of 12 held in the first half, 1 of 12 in the second (exact trend test, p < 0.001)"},
		{rise, "rises over the blocks: 0 of 12 held in the first half, 11 of 12"},
		{long, "no clear sign of drift (trend test"},
	} {
		d, err := ReferenceDrift(c.blocks)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(d.Sentence, c.want) {
			t.Errorf("%q does not say %q", d.Sentence, c.want)
		}
	}
}

func TestDriftRefusals(t *testing.T) {
	for _, blocks := range [][]ReferenceBlock{
		{{1, "", 5, 4}}, {{1, "", -1, 4}}, {{1, "", 1, 4}, {1, "", 2, 4}},
	} {
		if _, err := ReferenceDrift(blocks); err == nil {
			t.Errorf("%v is accepted", blocks)
		}
	}
}

func TestNormalTrendIsCloseToExact(t *testing.T) {
	blocks := []ReferenceBlock{{1, "", 37, 40}, {2, "", 36, 40}, {3, "", 34, 40}, {4, "", 33, 40}, {5, "", 31, 40}}
	exact, err := ReferenceDrift(blocks)
	if err != nil {
		t.Fatal(err)
	}
	for i := range blocks {
		blocks[i].Block *= 20_000 // too far apart for the exact distribution
	}
	normal, err := ReferenceDrift(blocks)
	if err != nil {
		t.Fatal(err)
	}
	if !exact.Exact || normal.Exact || math.Abs(exact.Z-normal.Z) > 1e-9 || math.Abs(exact.P-normal.P) > 0.01 {
		t.Errorf("exact %+v, normal %+v", exact, normal)
	}
}
