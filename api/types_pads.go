package api

// TouchFiles are the three CSV files of an array of sensors, as texts; docs/formats.md names their columns.
type TouchFiles struct {
	Calibration string `json:"calibration" minLength:"1"`
	Places      string `json:"places" minLength:"1"`
	Record      string `json:"record" minLength:"1"`
}
