//go:build reference

package successmap

import (
	"context"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/orient"
)

// A whole map on the rotations beside R's mgcv on the same trials: a low-rank Matérn Gaussian process over the nine
// entries of the rotation matrix (Debian's r-cran-mgcv, computed in this run). Two good maps of the same 800 trials
// must agree with each other better than either agrees with single outcomes, and ours must not lie farther from the
// truth than by 1.15 times.
func TestMapAgainstMgcv(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil || exec.Command(rscript, "-e", "library(mgcv)").Run() != nil {
		t.Skip("needs R with mgcv from Debian (apt-get install r-base-core r-cran-mgcv)")
	}
	const n, asked = 800, 300
	centre := orient.FromApproach(orient.Approach{Tilt: 0.4, Azimuth: 1, Roll: 0.7})
	other := orient.FromApproach(orient.Approach{Tilt: 1.1, Azimuth: -2, Roll: -1})
	truth := func(r orient.Rotation) float64 {
		return expit(-2 + 4.5*math.Exp(2*(math.Cos(r.AngleTo(centre))-1)) + 3*math.Exp(3*(math.Cos(r.AngleTo(other))-1)))
	}
	rng := numeric.Stream(31, "map against mgcv")
	var input strings.Builder
	row := func(r orient.Rotation, y float64) {
		for _, line := range r.Matrix() {
			for _, v := range line {
				fmt.Fprintf(&input, "%.12g ", v)
			}
		}
		fmt.Fprintf(&input, "%g\n", y)
	}
	var obs []Observation
	for range n {
		o := Observation{R: orient.RandomWithin(math.Pi/2, rng), Trials: 1}
		if rng.Float64() < truth(o.R) {
			o.Held = 1
		}
		obs = append(obs, o)
		row(o.R, o.Held)
	}
	var grid []orient.Rotation
	for range asked {
		r := orient.RandomWithin(math.Pi/2, rng)
		grid = append(grid, r)
		row(r, -1)
	}
	script := `suppressMessages(library(mgcv)); d <- read.table(file("stdin")); names(d) <- c(paste0("r", 1:9), "y")
g <- d[d$y < 0, ]; d <- d[d$y >= 0, ]
m <- gam(y ~ s(r1,r2,r3,r4,r5,r6,r7,r8,r9, bs="gp", k=100, m=c(-4,1)), family=binomial, data=d, method="REML")
cat(sprintf("%.10g\n", predict(m, g, type="response")))`
	command := exec.Command(rscript, "-e", script)
	command.Stdin = strings.NewReader(input.String())
	output, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	theirs := strings.Fields(string(output))
	if len(theirs) != asked {
		t.Fatalf("%d answers of R to %d orientations", len(theirs), asked)
	}
	m, err := Fit(context.Background(), obs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var apart, ours, mgcv float64
	for i, e := range mustPredict(m, grid) {
		p, err := strconv.ParseFloat(theirs[i], 64)
		if err != nil {
			t.Fatal(err)
		}
		want := truth(grid[i])
		apart += (e.P - p) * (e.P - p) / asked
		ours += (e.P - want) * (e.P - want) / asked
		mgcv += (p - want) * (p - want) / asked
	}
	apart, ours, mgcv = math.Sqrt(apart), math.Sqrt(ours), math.Sqrt(mgcv)
	t.Logf("root mean square: ours to the truth %.4f, mgcv to the truth %.4f, ours to mgcv %.4f", ours, mgcv, apart)
	if ours > 1.15*mgcv {
		t.Errorf("ours lies %.4f from the truth, mgcv %.4f", ours, mgcv)
	}
	if apart > mgcv {
		t.Errorf("the two maps lie %.4f apart, farther than mgcv from the truth (%.4f)", apart, mgcv)
	}
	if apart < 1e-4 {
		t.Errorf("the two maps are the same to %.1g: this compares a thing with itself", apart)
	}
}
