package tables

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"unicode/utf8"
)

// maxRecord bounds one CSV record, so that an open quotation mark can not draw a whole file into memory.
const maxRecord = 1 << 20

// scanner splits RFC 4180 text into records. Lines may end with CRLF or LF; empty lines are passed over. Fields are
// valid until the next call.
type scanner struct {
	in     *bufio.Reader
	line   int   // line on which the last record starts, from 1
	lines  int   // lines read
	read   int64 // bytes read
	fields [][]byte
	record []byte // a record that does not lie in the reader's buffer in one piece
	plain  []byte // quoted fields with their quotation marks resolved
}

// syntaxError is a fault of the text itself, after which field borders can not be trusted.
type syntaxError string

func (e syntaxError) Error() string { return string(e) }

func newScanner(r io.Reader) *scanner {
	return &scanner{in: bufio.NewReaderSize(r, 1<<16)}
}

// next returns the fields of the next record, io.EOF after the last, a syntaxError, or an error of reading.
func (s *scanner) next() ([][]byte, error) {
	for {
		line, err := s.take(s.record[:0])
		if err != nil {
			return nil, err
		}
		s.line = s.lines
		line = trimLineEnd(line)
		if len(line) == 0 {
			continue
		}
		quotes := bytes.Count(line, []byte{'"'})
		if quotes == 0 {
			return s.splitPlain(line)
		}
		if quotes%2 == 1 {
			if line, err = s.completeQuoted(line, quotes); err != nil {
				return nil, err
			}
		}
		return s.splitQuoted(line)
	}
}

// take appends the next line with its end to into, or returns it in place when into is empty.
func (s *scanner) take(into []byte) ([]byte, error) {
	for {
		part, err := s.in.ReadSlice('\n')
		s.read += int64(len(part))
		whole := err == nil || (err == io.EOF && len(part)+len(into) > 0)
		if len(into)+len(part) > maxRecord {
			return nil, syntaxError("is longer than 1 MiB; probably a quotation mark is missing")
		}
		if whole && len(into) == 0 {
			s.lines++
			return part, nil
		}
		into = append(into, part...)
		s.record = into
		switch {
		case whole:
			s.lines++
			return into, nil
		case err == io.EOF:
			return nil, io.EOF
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, err
		}
	}
}

// completeQuoted reads on until the quotation marks of the record pair up.
func (s *scanner) completeQuoted(line []byte, quotes int) ([]byte, error) {
	s.record = append(s.record[:0], line...)
	for quotes%2 == 1 {
		// The line end belongs to the quoted field; CRLF is kept as LF.
		s.record = append(s.record, '\n')
		from := len(s.record)
		more, err := s.take(s.record)
		if err == io.EOF {
			return nil, syntaxError("has a quotation mark that is never closed")
		}
		if err != nil {
			return nil, err
		}
		s.record = trimLineEnd(more)
		if len(s.record) < from {
			s.record = s.record[:from]
		}
		quotes += bytes.Count(s.record[from:], []byte{'"'})
		if len(s.record) > maxRecord {
			return nil, syntaxError("is longer than 1 MiB; probably a quotation mark is missing")
		}
		if s.ended() && quotes%2 == 1 {
			return nil, syntaxError("has a quotation mark that is never closed")
		}
	}
	return s.record, nil
}

func (s *scanner) ended() bool {
	_, err := s.in.Peek(1)
	return err == io.EOF
}

func trimLineEnd(line []byte) []byte {
	line = bytes.TrimSuffix(line, []byte{'\n'})
	return bytes.TrimSuffix(line, []byte{'\r'})
}

const loneReturn = syntaxError("holds a carriage return that ends no line; let lines end with CRLF or LF, and put a text with line ends in quotation marks")

func (s *scanner) splitPlain(line []byte) ([][]byte, error) {
	if bytes.IndexByte(line, '\r') >= 0 {
		return nil, loneReturn
	}
	if !utf8.Valid(line) {
		return nil, errNotUTF8
	}
	s.fields = s.fields[:0]
	for {
		i := bytes.IndexByte(line, ',')
		if i < 0 {
			s.fields = append(s.fields, line)
			return s.fields, nil
		}
		s.fields = append(s.fields, line[:i])
		line = line[i+1:]
	}
}

const errNotUTF8 = syntaxError("is not UTF-8 text; save the file as CSV with UTF-8 encoding")

func (s *scanner) splitQuoted(line []byte) ([][]byte, error) {
	if !utf8.Valid(line) {
		return nil, errNotUTF8
	}
	s.fields = s.fields[:0]
	// Room for the whole record at once: fields point into plain, which must not move.
	if cap(s.plain) < len(line) {
		s.plain = make([]byte, 0, 2*len(line))
	}
	s.plain = s.plain[:0]
	for {
		if len(line) > 0 && line[0] == '"' {
			from := len(s.plain)
			line = line[1:]
			for {
				i := bytes.IndexByte(line, '"')
				if i < 0 {
					return nil, syntaxError("has a quotation mark that is never closed")
				}
				s.plain = append(s.plain, line[:i]...)
				line = line[i+1:]
				if len(line) == 0 || line[0] != '"' {
					break
				}
				s.plain = append(s.plain, '"')
				line = line[1:]
			}
			s.fields = append(s.fields, s.plain[from:])
			if len(line) == 0 {
				return s.fields, nil
			}
			if line[0] != ',' {
				return nil, syntaxError("has text after a closing quotation mark; write a quotation mark inside a quoted text twice")
			}
			line = line[1:]
			continue
		}
		i := bytes.IndexByte(line, ',')
		field := line
		if i >= 0 {
			field = line[:i]
		}
		switch {
		case bytes.IndexByte(field, '"') >= 0:
			return nil, syntaxError("has a quotation mark inside a text that is not quoted; quote the whole text and write the mark twice")
		case bytes.IndexByte(field, '\r') >= 0:
			return nil, loneReturn
		}
		s.fields = append(s.fields, field)
		if i < 0 {
			return s.fields, nil
		}
		line = line[i+1:]
	}
}
