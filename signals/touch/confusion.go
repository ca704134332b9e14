package touch

import "math"

// Confusion counts clips by true zone (row) and told zone (column).
type Confusion [][]int

// Confuse counts pairs of true and told zones, numbered 0 … zones−1.
func Confuse(truth, told []int, zones int) Confusion {
	c := make(Confusion, zones)
	for i := range c {
		c[i] = make([]int, zones)
	}
	for i, z := range truth {
		c[z][told[i]]++
	}
	return c
}

func (c Confusion) sums() (n, right float64, rows, cols []float64) {
	rows, cols = make([]float64, len(c)), make([]float64, len(c))
	for i, row := range c {
		for j, k := range row {
			v := float64(k)
			n += v
			rows[i] += v
			cols[j] += v
			if i == j {
				right += v
			}
		}
	}
	return n, right, rows, cols
}

// Accuracy returns the share of clips told right; NaN for none.
func (c Confusion) Accuracy() float64 {
	n, right, _, _ := c.sums()
	return right / n
}

// Macro returns precision, recall and F1, each the plain mean over zones: a rare zone counts as much as a frequent one. A
// zone that was never told has precision 0, one that never occurred recall 0.
func (c Confusion) Macro() (precision, recall, f1 float64) {
	_, _, rows, cols := c.sums()
	for i := range c {
		hit := float64(c[i][i])
		if cols[i] > 0 {
			precision += hit / cols[i]
		}
		if rows[i] > 0 {
			recall += hit / rows[i]
		}
		if rows[i]+cols[i] > 0 {
			f1 += 2 * hit / (rows[i] + cols[i])
		}
	}
	k := float64(len(c))
	return precision / k, recall / k, f1 / k
}

// Kappa returns Cohen's kappa, agreement beyond chance: (p − e)/(1 − e) with the margins' chance agreement e; 0 when the
// margins leave nothing to agree on.
func (c Confusion) Kappa() float64 {
	n, right, rows, cols := c.sums()
	e := 0.0
	for i := range c {
		e += rows[i] * cols[i] / (n * n)
	}
	if e == 1 {
		return 0
	}
	return (right/n - e) / (1 - e)
}

// MCC returns Matthews' correlation for many zones (J. Gorodkin, "Comparing two K-category assignments by a K-category
// correlation coefficient", 2004; from memory); 0 when one side is constant.
func (c Confusion) MCC() float64 {
	n, right, rows, cols := c.sums()
	cross, rr, cc := 0.0, 0.0, 0.0
	for i := range c {
		cross += rows[i] * cols[i]
		rr += rows[i] * rows[i]
		cc += cols[i] * cols[i]
	}
	d := math.Sqrt((n*n - cc) * (n*n - rr))
	if d == 0 {
		return 0
	}
	return (right*n - cross) / d
}

// MeanError returns the mean distance between true and told zone when zone i lies at places[i], in the places' unit.
func (c Confusion) MeanError(places []float64) float64 {
	n, _, _, _ := c.sums()
	s := 0.0
	for i, row := range c {
		for j, k := range row {
			s += float64(k) * math.Abs(places[i]-places[j])
		}
	}
	return s / n
}
