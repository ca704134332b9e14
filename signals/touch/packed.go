package touch

import (
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
)

// Packed is a table of clips that a model keeps. In a model file its numbers stand as bytes in base64, not as digits: in single
// precision where that keeps them bit by bit, which is a quarter of the size, else in double.
type Packed [][]float64

// packedFile is how a table is written: numbers little-endian, row after row.
type packedFile struct {
	Columns int    `json:"columns"`
	Single  string `json:"float32,omitempty"`
	Double  string `json:"float64,omitempty"`
}

// single rounds numbers to single precision. Features are known to far less.
func single(row []float64) []float64 {
	rounded := make([]float64, len(row))
	for i, v := range row {
		rounded[i] = float64(float32(v))
	}
	return rounded
}

// MarshalJSON writes the table; all rows are equally long.
func (p Packed) MarshalJSON() ([]byte, error) {
	f := packedFile{}
	short := true
	for _, row := range p {
		f.Columns = len(row)
		for _, v := range row {
			short = short && float64(float32(v)) == v
		}
	}
	var bytes []byte
	for _, row := range p {
		for _, v := range row {
			if short {
				bytes = binary.LittleEndian.AppendUint32(bytes, math.Float32bits(float32(v)))
			} else {
				bytes = binary.LittleEndian.AppendUint64(bytes, math.Float64bits(v))
			}
		}
	}
	if text := base64.StdEncoding.EncodeToString(bytes); short {
		f.Single = text
	} else {
		f.Double = text
	}
	return json.Marshal(f)
}

// UnmarshalJSON reads what MarshalJSON wrote, and the lists of digits of version 1.
func (p *Packed) UnmarshalJSON(text []byte) error {
	if len(text) > 0 && text[0] == '[' {
		return json.Unmarshal(text, (*[][]float64)(p))
	}
	var f packedFile
	if err := json.Unmarshal(text, &f); err != nil {
		return err
	}
	size, digits := 4, f.Single
	if f.Double != "" {
		size, digits = 8, f.Double
	}
	bytes, err := base64.StdEncoding.DecodeString(digits)
	if err != nil {
		return err
	}
	if len(bytes) == 0 {
		*p = nil
		return nil
	}
	if f.Columns < 1 || len(bytes)%(size*f.Columns) != 0 || f.Single != "" && f.Double != "" {
		return errors.New("a table of clips is not as long as its columns want it")
	}
	numbers := make([]float64, len(bytes)/size)
	for i := range numbers {
		if size == 4 {
			numbers[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(bytes[4*i:])))
		} else {
			numbers[i] = math.Float64frombits(binary.LittleEndian.Uint64(bytes[8*i:]))
		}
	}
	*p = make(Packed, len(numbers)/f.Columns)
	for r := range *p {
		(*p)[r] = numbers[r*f.Columns : (r+1)*f.Columns : (r+1)*f.Columns]
	}
	return nil
}
