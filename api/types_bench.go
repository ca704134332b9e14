package api

import "time"

// BenchTest is a test of a hand on a bench: what it is, how it is done, and the columns of its table.
type BenchTest struct {
	Name      string        `json:"name"`
	Title     string        `json:"title"`
	How       string        `json:"how"`
	Cautions  []string      `json:"cautions" doc:"What can hurt, and what to do about it"`
	Source    string        `json:"source"`
	TakesUnit bool          `json:"takes_unit" doc:"The unit of its values has to be told"`
	Columns   []BenchColumn `json:"columns"`
}

// BenchColumn is a column of a test's table.
type BenchColumn struct {
	Name     string   `json:"name" doc:"Its unit stands in it, where it has one"`
	Meaning  string   `json:"meaning"`
	Words    []string `json:"words" doc:"The words allowed; none: any"`
	Text     bool     `json:"text"`
	Optional bool     `json:"optional"`
	Positive bool     `json:"positive" doc:"Numbers must be above 0"`
	Natural  bool     `json:"natural" doc:"Numbers must not be below 0"`
}

// BenchRequest is a bench record as it comes in.
type BenchRequest struct {
	Key      string   `json:"key" doc:"Any text that is new for each record; repeat it when you send one again"`
	Test     string   `json:"test" doc:"One of the names of /bench-tests"`
	Variant  string   `json:"variant,omitempty" doc:"What it was about, such as a direction; tells records of one test apart"`
	Specimen string   `json:"specimen,omitempty" doc:"Which piece of the hand's kind"`
	Operator string   `json:"operator"`
	Day      string   `json:"day,omitempty" format:"date" doc:"When it was measured; today when left out"`
	Table    string   `json:"table" doc:"CSV; the first row names the columns"`
	Unit     string   `json:"unit,omitempty" doc:"Of the values, where the test takes any"`
	RampS    float64  `json:"ramp_s,omitempty" doc:"Relaxation: how long the deflection rose; the time of the largest force when left out"`
	Terms    int      `json:"terms,omitempty" doc:"Relaxation: exponential terms, 1 to 3; 1 when left out"`
	Limit    *float64 `json:"limit,omitempty" doc:"Wear: the value at which the hand is replaced"`
	Note     string   `json:"note,omitempty"`
}

// BenchRecord is a bench record with what it says.
type BenchRecord struct {
	ID       int64        `json:"id" doc:"0 of a record that was only checked"`
	Key      string       `json:"key"`
	Hand     string       `json:"hand"`
	Test     string       `json:"test"`
	Variant  string       `json:"variant"`
	Specimen string       `json:"specimen"`
	Operator string       `json:"operator"`
	Day      string       `json:"day" format:"date"`
	Unit     string       `json:"unit"`
	RampS    float64      `json:"ramp_s"`
	Terms    int          `json:"terms"`
	Limit    *float64     `json:"limit,omitempty"`
	Note     string       `json:"note"`
	Invented bool         `json:"invented"`
	Recorded *time.Time   `json:"recorded,omitempty"`
	OnSheet  bool         `json:"on_sheet" doc:"It is the newest of its test and variant that stands"`
	Void     *BenchVoid   `json:"void,omitempty"`
	Report   *BenchReport `json:"report,omitempty"`
	Fault    string       `json:"fault,omitempty" doc:"Why the record says nothing any more"`
}

// BenchVoid says that a record was made void.
type BenchVoid struct {
	At     time.Time `json:"at"`
	By     string    `json:"by"`
	Reason string    `json:"reason"`
}

// BenchReport is what a record says.
type BenchReport struct {
	Rows    int           `json:"rows"`
	Level   float64       `json:"level" doc:"Of the intervals"`
	Figures []BenchFigure `json:"figures"`
	Series  []BenchSeries `json:"series" doc:"The data of the plot; long series are thinned"`
	Axes    string        `json:"axes" enum:"plain,weibull" doc:"weibull: x by its logarithm, shares p by ln(−ln(1 − p))"`
	Labels  []string      `json:"labels" doc:"Of x = 1, 2, … in the plot, where these are names and no numbers; none else"`
	Notes   []string      `json:"notes" doc:"What the record does not show, and cautions"`
}

// BenchFigure is a number that a test yields.
type BenchFigure struct {
	Name  string   `json:"name"`
	Group string   `json:"group" doc:"Finger, direction, size … that it is of"`
	Unit  string   `json:"unit"`
	Value float64  `json:"value"`
	Low   *float64 `json:"low,omitempty" doc:"Left out where the record sets no lower limit"`
	High  *float64 `json:"high,omitempty"`
	Basis string   `json:"basis" doc:"What value and limits rest on"`
}

// BenchSeries is the data of one line or cloud of a plot.
type BenchSeries struct {
	Name string    `json:"name"`
	X    string    `json:"x" doc:"What, and its unit"`
	Y    string    `json:"y"`
	Draw string    `json:"draw" enum:"line,points,open,bars,whiskers" doc:"open: only exceeded; bars: from 0 up, 0.2 wide; whiskers: from each even point to the next"`
	XS   []float64 `json:"xs"`
	YS   []float64 `json:"ys"`
}

// HandSheet is the numbers of hands side by side.
type HandSheet struct {
	Level    float64         `json:"level"`
	Hands    []HandSheetHand `json:"hands"`
	Tests    []HandSheetTest `json:"tests" doc:"All tests; those that no hand has are without rows"`
	Invented bool            `json:"invented"`
	Cautions []string        `json:"cautions"`
}

// HandSheetHand is a hand of a sheet.
type HandSheetHand struct {
	ID      string `json:"id"`
	Name    string `json:"name"`
	Records int    `json:"records" doc:"On the sheet"`
}

// HandSheetTest is a test with the figures of all hands.
type HandSheetTest struct {
	Name  string          `json:"name"`
	Title string          `json:"title"`
	Rows  []HandSheetRow  `json:"rows"`
	Notes []HandSheetNote `json:"notes"`
}

// HandSheetRow is one figure.
type HandSheetRow struct {
	Name    string         `json:"name"`
	Variant string         `json:"variant"`
	Group   string         `json:"group"`
	Unit    string         `json:"unit"`
	Cells   []*BenchFigure `json:"cells" nullable:"true" doc:"One for each hand; null where the hand lacks it"`
}

// HandSheetNote is what a hand's record does not show, or a caution.
type HandSheetNote struct {
	Hand    string `json:"hand"`
	Variant string `json:"variant"`
	Text    string `json:"text"`
}
