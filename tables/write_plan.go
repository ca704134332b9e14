package tables

import (
	"io"

	"holdfast/domain"
)

type planRecord struct {
	Order      int64   `parquet:"order"`
	Block      int64   `parquet:"block"`
	WholePlot  int64   `parquet:"whole_plot"`
	Hand       string  `parquet:"hand,dict"`
	Item       string  `parquet:"item,dict"`
	Setting    string  `parquet:"setting,dict"`
	Strategy   string  `parquet:"strategy,dict"`
	Cell       int64   `parquet:"cell"`
	QW         float64 `parquet:"qw"`
	QX         float64 `parquet:"qx"`
	QY         float64 `parquet:"qy"`
	QZ         float64 `parquet:"qz"`
	TiltDeg    float64 `parquet:"tilt_deg"`
	AzimuthDeg float64 `parquet:"azimuth_deg"`
	RollDeg    float64 `parquet:"roll_deg"`
	Closing    float64 `parquet:"closing"`
	OffsetXMM  float64 `parquet:"offset_x_mm"`
	OffsetYMM  float64 `parquet:"offset_y_mm"`
	OffsetZMM  float64 `parquet:"offset_z_mm"`
	Replicate  int64   `parquet:"replicate"`
	Reference  bool    `parquet:"reference"`
	Why        string  `parquet:"why"`
}

// WritePlan writes a study's planned runs in order.
func WritePlan(w io.Writer, f Format, runs []domain.PlannedRun) error {
	out, err := newRecordWriter[planRecord](w, f)
	if err != nil {
		return err
	}
	for i := range runs {
		r := &runs[i]
		p := poseOf(r.Planned)
		err := out.write(&planRecord{
			Order: int64(r.Order), Block: int64(r.Block), WholePlot: int64(r.WholePlot),
			Hand: string(r.Hand), Item: string(r.Item), Setting: string(r.Setting), Strategy: string(r.Strategy), Cell: int64(r.Cell),
			QW: p.qw, QX: p.qx, QY: p.qy, QZ: p.qz, TiltDeg: p.tilt, AzimuthDeg: p.azimuth, RollDeg: p.roll,
			Closing: r.Closing, OffsetXMM: millimetres(r.Offset[0]), OffsetYMM: millimetres(r.Offset[1]), OffsetZMM: millimetres(r.Offset[2]),
			Replicate: int64(r.Replicate), Reference: r.Reference, Why: r.Why,
		})
		if err != nil {
			return err
		}
	}
	return out.close()
}
