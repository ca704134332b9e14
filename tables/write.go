package tables

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/parquet-go/parquet-go"

	"holdfast/domain"
	"holdfast/orient"
)

// Format is a file format to write.
type Format string

// The formats. CSV is RFC 4180 text in UTF-8 without byte order mark, with LF line ends; texts that a spreadsheet
// program would run as a formula carry an apostrophe in front, which reading takes off again.
const (
	CSV     Format = "csv"
	Parquet Format = "parquet"
)

// recordWriter writes records of a flat struct whose parquet tags name the columns, in the struct's order.
type recordWriter[T any] interface {
	write(*T) error
	close() error
}

func newRecordWriter[T any](w io.Writer, f Format) (recordWriter[T], error) {
	switch f {
	case CSV:
		return newCSVRecords[T](w), nil
	case Parquet:
		return &parquetRecords[T]{out: parquet.NewGenericWriter[T](w,
			parquet.Compression(&parquet.Zstd), parquet.MaxRowsPerRowGroup(50_000))}, nil
	}
	return nil, domain.Errorf(domain.KindInvalid, "the format %q can not be written; take csv or parquet", string(f))
}

type parquetRecords[T any] struct {
	out *parquet.GenericWriter[T]
	one [1]T
}

func (p *parquetRecords[T]) write(record *T) error {
	p.one[0] = *record
	_, err := p.out.Write(p.one[:])
	return err
}

func (p *parquetRecords[T]) close() error { return p.out.Close() }

type csvRecords[T any] struct {
	out     *bufio.Writer
	columns []csvColumn
	line    []byte
}

type csvColumn struct {
	time     bool // nanoseconds since 1970
	optional bool // the zero value is left empty
}

func newCSVRecords[T any](w io.Writer) *csvRecords[T] {
	c := &csvRecords[T]{out: bufio.NewWriterSize(w, 1<<16)}
	for i, f := range reflect.VisibleFields(reflect.TypeFor[T]()) {
		name, options, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		c.columns = append(c.columns, csvColumn{time: strings.Contains(options, "timestamp"), optional: strings.Contains(options, "optional")})
		if i > 0 {
			c.line = append(c.line, ',')
		}
		c.line = append(c.line, name...)
	}
	c.line = append(c.line, '\n')
	return c
}

func (c *csvRecords[T]) write(record *T) error {
	v := reflect.ValueOf(record).Elem()
	for i, col := range c.columns {
		if i > 0 {
			c.line = append(c.line, ',')
		}
		c.line = appendField(c.line, v.Field(i), col)
	}
	c.line = append(c.line, '\n')
	_, err := c.out.Write(c.line)
	c.line = c.line[:0]
	return err
}

func (c *csvRecords[T]) close() error {
	// The header is still waiting when there was no record.
	if _, err := c.out.Write(c.line); err != nil {
		return err
	}
	c.line = nil
	return c.out.Flush()
}

func appendField(b []byte, v reflect.Value, col csvColumn) []byte {
	if col.optional && v.IsZero() {
		return b
	}
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.String:
		return appendText(b, v.String())
	case reflect.Float64:
		return strconv.AppendFloat(b, v.Float(), 'g', -1, 64)
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool())
	case reflect.Int64:
		if col.time {
			return time.Unix(0, v.Int()).UTC().AppendFormat(b, time.RFC3339Nano)
		}
		return strconv.AppendInt(b, v.Int(), 10)
	}
	panic(fmt.Sprintf("tables: no column of kind %v is foreseen", v.Kind()))
}

func appendText(b []byte, s string) []byte {
	guarded := needsGuard(s)
	if !strings.ContainsAny(s, ",\"\r\n") && strings.TrimSpace(s) == s {
		if guarded {
			b = append(b, '\'')
		}
		return append(b, s...)
	}
	b = append(b, '"')
	if guarded {
		b = append(b, '\'')
	}
	for i := range len(s) {
		if s[i] == '"' {
			b = append(b, '"')
		}
		b = append(b, s[i])
	}
	return append(b, '"')
}

// millimetres returns the length (m) as the shortest decimal of millimetres that [metres] reads as that length again.
// Some lengths of 16 and more digits have no such decimal; they come back within one unit of their last binary digit.
func millimetres(length float64) float64 {
	for digits := 15; digits <= 17; digits++ {
		mm, err := strconv.ParseFloat(strconv.FormatFloat(length*1e3, 'g', digits, 64), 64)
		if err == nil && metres(mm) == length {
			return mm
		}
	}
	return length * 1e3
}

// metres reads millimetres. Whole micrometres become the number nearest to them, as plans hold them: plain division can
// end one binary digit away, and such a length would be written as 2.3080000000000003.
func metres(mm float64) float64 {
	if um := math.Round(mm * 1e3); math.Abs(mm*1e3-um) <= 4e-16*math.Abs(um) {
		return um / 1e6
	}
	return mm / 1e3
}

// degrees returns the angle (rad) in degrees to a billionth: the quaternion beside it is the exact orientation.
func degrees(rad float64) float64 {
	return math.Round(rad*(180/math.Pi)*1e9)/1e9 + 0 // + 0 turns −0 into 0
}

// pose is an orientation as columns.
type pose struct{ qw, qx, qy, qz, tilt, azimuth, roll float64 }

func poseOf(r orient.Rotation) pose {
	r, a := r.Canonical(), r.Approach()
	return pose{r.W + 0, r.X + 0, r.Y + 0, r.Z + 0, degrees(a.Tilt), degrees(a.Azimuth), degrees(a.Roll)}
}

func nanoseconds(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixNano()
}
