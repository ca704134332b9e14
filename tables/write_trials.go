package tables

import (
	"io"
	"strings"

	"holdfast/domain"
)

// trialRecord is a counted trial in a file's units. Columns up to void_reason that [Read] knows carry the same names.
type trialRecord struct {
	Trial          int64    `parquet:"trial"`
	Key            string   `parquet:"key"`
	Order          int64    `parquet:"order,optional"`
	Block          int64    `parquet:"block,optional"`
	Hand           string   `parquet:"hand,dict"`
	Item           string   `parquet:"item,dict"`
	Setting        string   `parquet:"setting,dict"`
	Strategy       string   `parquet:"strategy,dict"`
	QW             float64  `parquet:"qw"`
	QX             float64  `parquet:"qx"`
	QY             float64  `parquet:"qy"`
	QZ             float64  `parquet:"qz"`
	TiltDeg        float64  `parquet:"tilt_deg"`
	AzimuthDeg     float64  `parquet:"azimuth_deg"`
	RollDeg        float64  `parquet:"roll_deg"`
	Closing        float64  `parquet:"closing"`
	OffsetXMM      float64  `parquet:"offset_x_mm"`
	OffsetYMM      float64  `parquet:"offset_y_mm"`
	OffsetZMM      float64  `parquet:"offset_z_mm"`
	PeakForceN     *float64 `parquet:"peak_force_N,optional"`
	DurationS      *float64 `parquet:"duration_s,optional"`
	Outcome        string   `parquet:"outcome,dict"`
	VoidReason     string   `parquet:"void_reason,optional"`
	Reference      bool     `parquet:"reference"`
	Operator       string   `parquet:"operator,optional,dict"`
	Note           string   `parquet:"note,optional"`
	StartedAt      int64    `parquet:"started_at,optional,timestamp(nanosecond)"`
	RecordedAt     int64    `parquet:"recorded_at,optional,timestamp(nanosecond)"`
	OutcomeEntered string   `parquet:"outcome_entered,dict"`
	Inspection     string   `parquet:"inspection,optional,dict"`
	Entries        int64    `parquet:"entries"`
	LatestEntry    int64    `parquet:"latest_entry"`
	Measured       bool     `parquet:"measured"`
	PlannedQW      float64  `parquet:"planned_qw"`
	PlannedQX      float64  `parquet:"planned_qx"`
	PlannedQY      float64  `parquet:"planned_qy"`
	PlannedQZ      float64  `parquet:"planned_qz"`
	Recordings     string   `parquet:"recordings,optional"`
	Proof          string   `parquet:"proof,optional,dict"`
}

// TrialWriter writes counted trials one after the other: the orientation as measured where there is one, else as
// planned; the outcome as it counts now; and what became of the entry (entries of its chain, inspection).
type TrialWriter struct {
	out    recordWriter[trialRecord]
	record trialRecord
}

// NewTrialWriter starts a file. Close must be called to complete it.
func NewTrialWriter(w io.Writer, f Format) (*TrialWriter, error) {
	out, err := newRecordWriter[trialRecord](w, f)
	if err != nil {
		return nil, err
	}
	return &TrialWriter{out: out}, nil
}

// Write adds a trial.
func (w *TrialWriter) Write(t *domain.CountedTrial) error {
	p, planned := poseOf(t.Rotation()), poseOf(t.Planned)
	digests := make([]string, len(t.Recordings))
	for i, r := range t.Recordings {
		digests[i] = r.SHA256
	}
	root := t.Root
	if root == 0 {
		root = t.ID
	}
	w.record = trialRecord{
		Trial: int64(root), Key: t.Key, Order: int64(t.Order), Block: int64(t.Block),
		Hand: string(t.Hand), Item: string(t.Item), Setting: string(t.Setting), Strategy: string(t.Strategy),
		QW: p.qw, QX: p.qx, QY: p.qy, QZ: p.qz, TiltDeg: p.tilt, AzimuthDeg: p.azimuth, RollDeg: p.roll,
		Closing: t.Closing, OffsetXMM: millimetres(t.Offset[0]), OffsetYMM: millimetres(t.Offset[1]), OffsetZMM: millimetres(t.Offset[2]),
		PeakForceN: t.PeakForce, DurationS: t.Duration,
		Outcome: string(t.Counted), VoidReason: t.VoidReason, Reference: t.Reference, Operator: t.Operator, Note: t.Note,
		StartedAt: nanoseconds(t.StartedAt), RecordedAt: nanoseconds(t.RecordedAt),
		OutcomeEntered: string(t.Outcome), Inspection: string(t.Inspection), Entries: int64(t.Entries), LatestEntry: int64(t.ID),
		Measured: t.Measured != nil, PlannedQW: planned.qw, PlannedQX: planned.qx, PlannedQY: planned.qy, PlannedQZ: planned.qz,
		Recordings: strings.Join(digests, " "), Proof: string(t.Proof),
	}
	return w.out.write(&w.record)
}

// Close completes the file; the underlying writer stays open.
func (w *TrialWriter) Close() error { return w.out.close() }

// WriteTrials writes counted trials, see [TrialWriter].
func WriteTrials(w io.Writer, f Format, trials []domain.CountedTrial) error {
	out, err := NewTrialWriter(w, f)
	if err != nil {
		return err
	}
	for i := range trials {
		if err := out.Write(&trials[i]); err != nil {
			return err
		}
	}
	return out.Close()
}
