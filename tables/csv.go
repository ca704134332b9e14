package tables

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"

	"holdfast/domain"
)

// stream reads a file of either format.
func stream(src Source, m *ColumnMap, w want, yield func(r *Row, read int64) error) (Summary, error) {
	a := &assembler{want: w, faults: &Errors{File: src.Name}, interned: map[string]string{}, keys: map[string]int32{}}
	whole := func() io.Reader { return io.NewSectionReader(src.Data, 0, src.Size) }
	if w != wantGrid {
		h := sha256.New()
		if _, err := io.Copy(h, whole()); err != nil {
			return Summary{}, readFailed(src, err)
		}
		a.digest = hex.EncodeToString(h.Sum(nil))
	}
	head := make([]byte, 4)
	n, err := src.Data.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return Summary{}, readFailed(src, err)
	}
	if head = head[:n]; string(head) == "PAR1" {
		a.typed = true
		err = a.readParquet(src, m, yield)
	} else {
		err = a.readCSV(src, whole(), head, m, yield)
	}
	if err == nil {
		err = a.faults.OrNil()
	}
	if err != nil {
		return Summary{}, err
	}
	return Summary{Rows: a.rows, Count: a.trials, Aggregated: a.counted, Ignored: a.ignored, Digest: a.digest}, nil
}

func readFailed(src Source, cause error) error {
	return &domain.Error{Kind: domain.KindInternal, Message: "reading " + src.Name + " failed", Cause: cause}
}

func (a *assembler) readCSV(src Source, in io.Reader, head []byte, m *ColumnMap, yield func(*Row, int64) error) error {
	switch {
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}) || bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		add(a.faults, Fault{Reason: "the file is UTF-16 text; save it as CSV with UTF-8 encoding"})
		return nil
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		add(a.faults, Fault{Reason: "the file is a spreadsheet workbook or an archive; save the sheet as CSV with UTF-8 encoding"})
		return nil
	}
	s := newScanner(in)
	if bytes.HasPrefix(head, []byte("\xEF\xBB\xBF")) {
		if _, err := s.in.Discard(3); err != nil {
			return readFailed(src, err)
		}
	}
	names, err := s.header()
	if err != nil {
		return a.csvFault(src, s, err)
	}
	if names == nil {
		add(a.faults, Fault{Reason: "the file is empty; the first line names the columns"})
		return nil
	}
	if len(names) == 1 && strings.ContainsAny(names[0], ";\t") {
		add(a.faults, Fault{Line: s.line, Reason: "the columns are parted by semicolons or tabs; save the file with commas"})
		return nil
	}
	a.bind(names, m, s.line)
	if a.faults.Count() > 0 {
		return nil
	}
	var c cell
	for {
		fields, err := s.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return a.csvFault(src, s, err)
		}
		if blank(fields) {
			continue
		}
		a.begin(s.line)
		if len(fields) != len(names) {
			a.fault("", "", fmt.Sprintf("has %d fields, the header has %d", len(fields), len(names)))
			continue
		}
		for i, f := range fields {
			c.kind, c.text = cellText, f
			a.cell(i, &c)
		}
		if err := a.end(s.read, yield); err != nil {
			return err
		}
	}
	if a.rows == 0 {
		add(a.faults, Fault{Reason: noRows})
	}
	return nil
}

// csvFault records a broken record, after which reading stops; other errors pass.
func (a *assembler) csvFault(src Source, s *scanner, err error) error {
	var broken syntaxError
	if !errors.As(err, &broken) {
		return readFailed(src, err)
	}
	line := max(s.line, 1)
	add(a.faults, Fault{Line: line, Reason: "the record that starts here " + string(broken) + "; the rest was not looked at"})
	return nil
}

// header returns the column names, nil for an empty file.
func (s *scanner) header() ([]string, error) {
	fields, err := s.next()
	if err == io.EOF {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	names := make([]string, len(fields))
	for i, f := range fields {
		names[i] = string(f)
	}
	return names, nil
}

// blank says whether all fields are empty: spreadsheets leave such rows below a table.
func blank(fields [][]byte) bool {
	for _, f := range fields {
		if len(bytes.TrimSpace(f)) > 0 {
			return false
		}
	}
	return true
}
