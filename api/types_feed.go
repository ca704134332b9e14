package api

// HandFeedStart asks for a description to be brought to the bench.
type HandFeedStart struct {
	Finger string  `json:"finger,omitempty" doc:"The described finger that was measured; the first when left out"`
	Level  float64 `json:"level,omitempty" minimum:"0.5" maximum:"0.999" doc:"Of the limits; 0.95 when left out"`
}

// HandFeed is a described hand brought to its standing bench records. Nothing of it is kept.
type HandFeed struct {
	Hand       string        `json:"hand"`
	Name       string        `json:"name" doc:"Of the description"`
	Finger     string        `json:"finger" doc:"The described finger that stands for all"`
	Fingers    []string      `json:"fingers" doc:"All that are described"`
	Level      float64       `json:"level" doc:"Of the limits"`
	Quantities []FedQuantity `json:"quantities"`
	Unknowns   []FedUnknown  `json:"unknowns" doc:"What the readings do not tell; it stays as described"`
	Curves     []FedCurve    `json:"curves"`
	Notes      []string      `json:"notes"`
	Records    []FedRecord   `json:"records" doc:"That were used"`
	Invented   bool          `json:"invented" doc:"One of the records is"`
	File       string        `json:"file" doc:"What to call the description"`
	Text       string        `json:"text" doc:"The fitted hand in full, as YAML that a simulation reads; its head says what was changed"`
}

// FedQuantity is one of the hand's numbers, as described and as the bench has it.
type FedQuantity struct {
	Name      string   `json:"name"`
	Unit      string   `json:"unit"`
	Described *float64 `json:"described,omitempty" doc:"Left out where the description has no such number of one finger"`
	Measured  float64  `json:"measured"`
	Low       *float64 `json:"low,omitempty" doc:"Left out where the readings are too few"`
	High      *float64 `json:"high,omitempty"`
	Placed    bool     `json:"placed" doc:"It stands in the fitted hand"`
}

// FedUnknown is a number that the readings do not tell.
type FedUnknown struct {
	Name string `json:"name"`
	Why  string `json:"why"`
}

// FedCurve is what was measured, with what the description and the fitted hand say at the same places.
type FedCurve struct {
	Title        string        `json:"title"`
	From         string        `json:"from" doc:"Which record"`
	Readings     int           `json:"readings"`
	Unit         string        `json:"unit" doc:"Of the misfits"`
	MisfitBefore float64       `json:"misfit_before" doc:"Root of the mean square between readings and description"`
	MisfitAfter  float64       `json:"misfit_after"`
	Series       []BenchSeries `json:"series"`
}

// FedRecord is a bench record that was used.
type FedRecord struct {
	ID       int64  `json:"id"`
	Test     string `json:"test"`
	Variant  string `json:"variant"`
	Specimen string `json:"specimen"`
	Day      string `json:"day" format:"date"`
}
