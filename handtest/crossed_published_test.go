package handtest

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// The example of AIAG's Measurement Systems Analysis, 4th edition, 2010: three appraisers, ten parts, three trials (readings and published
// figures from memory; they give the appraisers' published means .1903, .0683 and −.2543, and the analysis of variance of an independent
// computation in R: mean squares, components, shares).
func TestCrossedExample(t *testing.T) {
	readings := map[string][3][10]float64{
		"A": {{.29, -.56, 1.34, .47, -.80, .02, .59, -.31, 2.26, -1.36}, {.41, -.68, 1.17, .50, -.92, -.11, .75, -.20, 1.99, -1.25}, {.64, -.58, 1.27, .64, -.84, -.21, .66, -.17, 2.01, -1.31}},
		"B": {{.08, -.47, 1.19, .01, -.56, -.20, .47, -.63, 1.80, -1.68}, {.25, -1.22, .94, 1.03, -1.20, .22, .55, .08, 2.12, -1.62}, {.07, -.68, 1.34, .20, -1.28, .06, .83, -.34, 2.19, -1.50}},
		"C": {{.04, -1.38, .88, .14, -1.46, -.29, .02, -.46, 1.77, -1.49}, {-.11, -1.13, 1.09, .20, -1.07, -.67, .01, -.56, 1.45, -1.77}, {-.15, -.96, .67, .11, -1.45, -.49, .21, -.49, 1.87, -2.16}},
	}
	var b strings.Builder
	b.WriteString("group,operator,value\n")
	for who, mean := range map[string]float64{"A": .1903, "B": .0683, "C": -.2543} {
		sum := 0.0
		for _, trial := range readings[who] {
			for part, v := range trial {
				fmt.Fprintf(&b, "part %d,%s,%g\n", part+1, who, v)
				sum += v
			}
		}
		near(t, "mean of "+who, sum/30, mean, 5e-5)
	}
	r, err := run(t, "repeatability", b.String(), usual())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "F of the interaction", figure(t, r, "F of specimens with operators", "").Value, .4337, 5e-5)
	near(t, "p of the interaction", figure(t, r, "p of no difference, specimens with operators", "").Value, .974, 5e-4)
	near(t, "F of specimens", figure(t, r, "F of specimens", "").Value, 9.8180/.0399733, .01) // both mean squares over the pooled one
	near(t, "F of operators", figure(t, r, "F of operators", "").Value, 1.5836/.0399733, .01)
	near(t, "repeats", math.Pow(figure(t, r, "repeatability standard deviation", "").Value, 2), .0399733, 5e-8)
	near(t, "operators", math.Pow(figure(t, r, "standard deviation between operators", "").Value, 2), .0514553, 5e-8)
	near(t, "specimens", math.Pow(figure(t, r, "standard deviation between specimens", "").Value, 2), 1.086447, 5e-7)
	near(t, "measuring", figure(t, r, "reproducibility standard deviation", "").Value, .302372, 5e-7)
	near(t, "all", figure(t, r, "standard deviation of all", "").Value, 1.0853, 5e-5)
	near(t, "share", figure(t, r, "share of measuring in the deviation of all", "").Value, .2786, 5e-5)
	near(t, "classes", figure(t, r, "distinct classes of specimens", "").Value, 4.86, .02) // published with the factor 1.41
	if !strings.Contains(strings.Join(r.Notes, " "), "no interaction") || len(r.Series) != 3 || len(r.Labels) != 10 {
		t.Errorf("%q, %d series over %q", r.Notes, len(r.Series), r.Labels)
	}
}
