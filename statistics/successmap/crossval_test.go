package successmap

import "testing"

func TestValidationWarnsWhenTheMapIsNoBetterThanTheBaseRate(t *testing.T) {
	v := Validation{Map: Scores{LogLoss: 0.5}, Base: Scores{LogLoss: 0.6}}
	if w := v.Warning(); w != "" {
		t.Errorf("warned of a map that is better: %s", w)
	}
	v.Map.LogLoss = 0.6
	if v.Warning() == "" {
		t.Error("no warning of a map that is no better")
	}
}
