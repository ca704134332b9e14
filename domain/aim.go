package domain

// Aim says what a study's trials are to settle, and how more are added to its plan.
type Aim struct {
	Question     string  // "best", "border", "rank" or "measure"; empty: best
	Batch        int     // trials proposed at once; 0: 8
	FirstCover   int     // trials of each way of picking that are spread evenly first; 0: as many as leave no gap
	Tolerance    float64 // loss (of success; for border the share of orientations on the wrong side) at which stopping is suggested; 0: 0.03
	ValuePerPick float64 // money, what a good pick is worth beside a failed one; 0: not stated
}

// Aims are the questions, in the order in which to offer them.
var Aims = []string{"best", "border", "rank", "measure"}

// The usual aim, which stands where a study says nothing else.
const (
	usualBatch     = 8
	usualTolerance = 0.03
)

// Filled returns the aim with what is left out put in.
func (a Aim) Filled() Aim {
	if a.Question == "" {
		a.Question = Aims[0]
	}
	if a.Batch == 0 {
		a.Batch = usualBatch
	}
	if a.Tolerance == 0 {
		a.Tolerance = usualTolerance
	}
	return a
}

func (a Aim) check(c *checks) {
	known := a.Question == ""
	for _, q := range Aims {
		known = known || q == a.Question
	}
	if !known {
		c.fail("aim.question", a.Question, "must be best, border, rank or measure")
	}
	c.between("aim.batch", float64(a.Batch), 0, 200, "")
	c.between("aim.first_cover", float64(a.FirstCover), 0, 1000, "")
	c.between("aim.tolerance", a.Tolerance, 0, 0.5, "")
	c.between("aim.value_per_pick", a.ValuePerPick, 0, mostMoney, "")
}
