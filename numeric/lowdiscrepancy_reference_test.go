//go:build reference

package numeric

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"
)

func TestSobolAgainstScipy(t *testing.T) {
	const (
		python = "/usr/bin/python3"
		script = "import json, sys\nfrom scipy.stats.qmc import Sobol\n" +
			"json.dump(Sobol(json.load(sys.stdin), scramble=False).random(1024).tolist(), sys.stdout)"
	)
	if out, err := exec.Command(python, "-c", "import scipy.stats.qmc").CombinedOutput(); err != nil {
		t.Skipf("needs scipy 1.7 or later from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	command := exec.Command(python, "-c", script)
	command.Stdin = strings.NewReader("10")
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][]float64
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	if len(want) != 1024 {
		t.Fatalf("scipy gave %d points", len(want))
	}
	s, err := NewSobol(SobolMaxDim)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range want {
		got := s.At(uint32(i))
		for d := range w {
			if got[d] != w[d] {
				t.Fatalf("point %d, axis %d: %g, scipy %g", i, d, got[d], w[d])
			}
		}
	}
}
