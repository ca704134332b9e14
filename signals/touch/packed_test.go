package touch

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestPackedReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.IntRange(1, 5).Draw(t, "columns")
		var p Packed
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			row := rapid.SliceOfN(rapid.Float64(), columns, columns).Draw(t, "row")
			if rapid.Bool().Draw(t, "short") {
				row = single(row)
			}
			p = append(p, row)
		}
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var again Packed
		if err := json.Unmarshal(text, &again); err != nil || !reflect.DeepEqual(p, again) {
			t.Fatalf("%s: %v, %v", text, again, err)
		}
	})
}

func TestPackedReadsTheFirstVersionAndRefusesWhatDoesNotFit(t *testing.T) {
	var p Packed
	if err := json.Unmarshal([]byte(`[[1,2],[3,4.5]]`), &p); err != nil || !reflect.DeepEqual(p, Packed{{1, 2}, {3, 4.5}}) {
		t.Errorf("%v, %v", p, err)
	}
	text, err := json.Marshal(Packed{{1, 2.5}})
	if err != nil || !strings.Contains(string(text), `"columns":2,"float32"`) {
		t.Errorf("%s, %v", text, err)
	}
	for _, text := range []string{`{"columns":3,"float32":"AAAAAAAA"}`, `{"columns":0,"float32":"AAAA"}`, `{"columns":1,"float32":"?"}`, `{"columns":1,"float32":"AAAAAA==","float64":"AAAAAAAAAAA="}`, `7`} {
		if err := json.Unmarshal([]byte(text), &p); err == nil {
			t.Errorf("%s is taken as %v", text, p)
		}
	}
}
