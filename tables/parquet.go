package tables

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/deprecated"
	"github.com/parquet-go/parquet-go/format"
)

// maxParquetData bounds what a small file may claim to unpack to.
const maxParquetData = 1 << 30

// readParquet reads a file of flat columns. Nested and repeated columns are ignored.
func (a *assembler) readParquet(src Source, m *ColumnMap, yield func(*Row, int64) error) (err error) {
	broken := func(what any) {
		add(a.faults, Fault{Reason: fmt.Sprintf("the Parquet file is damaged or of a kind that can not be read (%v)", what)})
	}
	defer func() {
		// The reading library checks less than a foreign file may break.
		if r := recover(); r != nil {
			broken(r)
			err = nil
		}
	}()
	if reason := checkFooter(src); reason != "" {
		broken(reason)
		return nil
	}
	file, err := parquet.OpenFile(src.Data, src.Size, parquet.SkipPageIndex(true), parquet.SkipBloomFilters(true))
	if err != nil {
		broken(err)
		return nil
	}
	if reason := checkSizes(file, src.Size); reason != "" {
		broken(reason)
		return nil
	}
	names, decoders, nested := flatColumns(file)
	a.bind(names, m, 0)
	a.ignored = append(a.ignored, nested...)
	for i := range a.binds {
		if b := &a.binds[i]; b.bound && decoders[i].unreadable != "" {
			add(a.faults, Fault{Column: b.column, Reason: "is of the Parquet type " + decoders[i].unreadable +
				", which can not be read; store it as text, number, truth value or timestamp"})
		}
	}
	if a.faults.Count() > 0 {
		return nil
	}
	byIndex := make([]int, len(file.Schema().Columns()))
	for i := range byIndex {
		byIndex[i] = -1
	}
	for i, d := range decoders {
		byIndex[d.index] = i
	}
	buf := make([]parquet.Row, 128)
	// How far reading has come, in bytes of the file: the receiver estimates from it how many rows there are.
	perRow := float64(src.Size) / float64(max(1, file.NumRows()))
	handOn := func(r *Row, _ int64) error { return yield(r, int64(perRow*float64(a.rows))) }
	for _, group := range file.RowGroups() {
		if err := a.readGroup(group, byIndex, decoders, buf, handOn); err != nil {
			if yielded, ok := err.(yieldError); ok {
				return yielded.error
			}
			broken(err)
			return nil
		}
	}
	if a.rows == 0 {
		add(a.faults, Fault{Reason: "the file has no rows"})
	}
	return nil
}

// yieldError marks an error of the receiver of rows, as against one of the file.
type yieldError struct{ error }

func (a *assembler) readGroup(group parquet.RowGroup, byIndex []int, decoders []decoder, buf []parquet.Row, yield func(*Row, int64) error) error {
	rows := group.Rows()
	defer rows.Close()
	var c cell
	for {
		n, err := rows.ReadRows(buf)
		for _, row := range buf[:n] {
			a.begin(0)
			for _, v := range row {
				col := v.Column()
				if col < 0 || col >= len(byIndex) || byIndex[col] < 0 {
					continue
				}
				i := byIndex[col]
				if a.binds[i].bound {
					decoders[i].decode(v, &c)
					a.cell(i, &c)
				}
			}
			if err := a.end(0, yield); err != nil {
				return yieldError{err}
			}
		}
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		case n == 0:
			return io.ErrNoProgress
		}
	}
}

// checkFooter sees that the footer lies inside the file, before memory of its size is asked for.
func checkFooter(src Source) string {
	var tail [8]byte
	if src.Size < 12 {
		return "it is too short"
	}
	if _, err := src.Data.ReadAt(tail[:], src.Size-8); err != nil && err != io.EOF {
		return err.Error()
	}
	if string(tail[4:]) != "PAR1" || int64(binary.LittleEndian.Uint32(tail[:4])) > src.Size-12 {
		return "its end is missing"
	}
	return ""
}

func checkSizes(file *parquet.File, size int64) string {
	var total int64
	for _, g := range file.Metadata().RowGroups {
		for _, c := range g.Columns {
			unpacked, packed := c.MetaData.TotalUncompressedSize, c.MetaData.TotalCompressedSize
			if unpacked < 0 || packed < 0 || packed > size {
				return "a column's size is impossible"
			}
			if total += unpacked; total > maxParquetData {
				return "it unpacks to more than 1 GiB"
			}
		}
	}
	return ""
}

// decoder turns the values of one column into cells.
type decoder struct {
	index      int
	kind       parquet.Kind
	tick       time.Duration // of a timestamp; 0: not one
	unsigned   bool
	unreadable string // name of a type that is not taken
}

// flatColumns lists the columns that hold one value a row, and the names of the others.
func flatColumns(file *parquet.File) (names []string, decoders []decoder, nested []string) {
	for _, col := range file.Root().Columns() {
		if !col.Leaf() || col.Repeated() {
			nested = append(nested, col.Name())
			continue
		}
		names = append(names, col.Name())
		decoders = append(decoders, newDecoder(col))
	}
	return names, decoders, nested
}

func newDecoder(col *parquet.Column) decoder {
	t := col.Type()
	d := decoder{index: col.Index(), kind: t.Kind()}
	if l := t.LogicalType(); l != nil && l.Value != nil {
		switch v := l.Value.(type) {
		case *format.StringType, *format.EnumType, *format.JsonType, *format.NullType:
		case *format.IntType:
			d.unsigned = !v.IsSigned
		case *format.TimestampType:
			if v.Unit.Value != nil {
				d.tick = v.Unit.Value.Duration()
			}
			if !v.IsAdjustedToUTC || d.tick == 0 {
				d.unreadable = "TIMESTAMP without time zone"
			}
		default:
			d.unreadable = l.String()
		}
	} else if conv := t.ConvertedType(); conv != nil {
		switch *conv {
		case deprecated.UTF8, deprecated.Enum, deprecated.Json, deprecated.Int8, deprecated.Int16, deprecated.Int32, deprecated.Int64:
		case deprecated.Uint8, deprecated.Uint16, deprecated.Uint32, deprecated.Uint64:
			d.unsigned = true
		case deprecated.TimestampMillis:
			d.tick = time.Millisecond
		case deprecated.TimestampMicros:
			d.tick = time.Microsecond
		default:
			d.unreadable = fmt.Sprintf("with converted type %d", *conv)
		}
	}
	switch d.kind {
	case parquet.Int96, parquet.FixedLenByteArray:
		if d.unreadable == "" {
			d.unreadable = d.kind.String()
		}
	}
	return d
}

func (d *decoder) decode(v parquet.Value, c *cell) {
	c.kind = cellEmpty
	if v.IsNull() {
		return
	}
	switch d.kind {
	case parquet.Boolean:
		c.kind, c.whole = cellTruth, 0
		if v.Boolean() {
			c.whole = 1
		}
	case parquet.Int32:
		c.kind, c.whole = cellWhole, int64(v.Int32())
		if d.unsigned {
			c.whole = int64(v.Uint32())
		}
	case parquet.Int64:
		d.decodeInt64(v, c)
	case parquet.Float:
		c.kind, c.num = cellNumber, float64(v.Float())
	case parquet.Double:
		c.kind, c.num = cellNumber, v.Double()
	case parquet.ByteArray:
		c.kind, c.text = cellText, v.ByteArray()
	}
	// Data frames keep a missing number as NaN.
	if c.kind == cellNumber && math.IsNaN(c.num) {
		c.kind = cellEmpty
	}
}

func (d *decoder) decodeInt64(v parquet.Value, c *cell) {
	n := v.Int64()
	switch {
	case d.tick == time.Nanosecond:
		c.kind, c.when = cellTime, time.Unix(0, n).UTC()
	case d.tick == time.Microsecond:
		c.kind, c.when = cellTime, time.UnixMicro(n).UTC()
	case d.tick != 0:
		c.kind, c.when = cellTime, time.UnixMilli(n).UTC()
	case d.unsigned && n < 0:
		c.kind, c.num = cellNumber, float64(v.Uint64())
	default:
		c.kind, c.whole = cellWhole, n
	}
}
