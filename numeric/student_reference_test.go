//go:build reference

package numeric

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"
)

const scipyStudent = `
import json, sys
from scipy.stats import t, f, chi2
json.dump([[t.ppf(p, a), t.sf(x, a), f.sf(x, a, b), chi2.ppf(p, a)] for p, x, a, b in json.load(sys.stdin)], sys.stdout)
`

// Student's, Fisher's and the chi-square law beside scipy, over degrees of freedom from 0.5 to 3000.
func TestStudentAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := Stream(6, "student against scipy")
	var asked [][4]float64
	for range 400 {
		asked = append(asked, [4]float64{random.Float64(), 6 * random.Float64(), .5 * math.Pow(6000, random.Float64()), .5 * math.Pow(6000, random.Float64())})
	}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyStudent)
	command.Stdin = strings.NewReader(string(question))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers [][4]float64
	if err := json.Unmarshal(answered, &answers); err != nil || len(answers) != len(asked) {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	for i, q := range asked {
		p, x, a, b := q[0], q[1], q[2], q[3]
		for k, got := range [4]float64{StudentQuantile(p, a), StudentSurvival(x, a), FSurvival(x, a, b), ChiSquareQuantile(p, a)} {
			if want := answers[i][k]; !(math.Abs(got-want) <= 1e-8*math.Abs(want)+1e-12) {
				t.Errorf("%v, answer %d: got %.15g, scipy says %.15g", q, k, got, want)
			}
		}
	}
}
