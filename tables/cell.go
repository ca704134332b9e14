package tables

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"holdfast/domain"
)

type cellKind uint8

const (
	cellEmpty cellKind = iota
	cellText
	cellNumber
	cellWhole
	cellTruth
	cellTime
)

// cell is one value of a row, as the file's format keeps it.
type cell struct {
	kind  cellKind
	text  []byte // cellText; valid while the row is read
	num   float64
	whole int64 // cellWhole; cellTruth: 0 or 1
	when  time.Time
}

// String gives the value as a person would write it.
func (c *cell) String() string {
	switch c.kind {
	case cellText:
		return string(c.text)
	case cellNumber:
		return strconv.FormatFloat(c.num, 'g', -1, 64)
	case cellWhole:
		return strconv.FormatInt(c.whole, 10)
	case cellTruth:
		return strconv.FormatBool(c.whole != 0)
	case cellTime:
		return c.when.Format(time.RFC3339Nano)
	}
	return ""
}

// number reads a decimal number within the rule's bounds. reason is empty when it is one.
func (c *cell) number(r *rule) (v float64, reason string) {
	switch c.kind {
	case cellNumber:
		v = c.num
	case cellWhole:
		v = float64(c.whole)
	case cellText:
		text := bytes.TrimSpace(c.text)
		if !decimal(text) {
			return 0, notANumber(text)
		}
		var err error
		if v, err = strconv.ParseFloat(string(text), 64); err != nil && !math.IsInf(v, 0) {
			return 0, notANumber(text)
		}
	default:
		return 0, "is not a number"
	}
	if !(r.lo <= v && v <= r.hi) {
		return 0, outside(r)
	}
	return v, ""
}

func outside(r *rule) string {
	plain := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return fmt.Sprintf("must be between %s and %s%s", plain(r.lo), plain(r.hi), r.unit)
}

// decimal keeps out what the language's number reader takes beyond plain decimals: hexadecimal, infinities, separators.
func decimal(text []byte) bool {
	for _, b := range text {
		if (b < '0' || b > '9') && b != '.' && b != '-' && b != '+' && b != 'e' && b != 'E' {
			return false
		}
	}
	return len(text) > 0
}

func notANumber(text []byte) string {
	if bytes.Count(text, []byte{','}) == 1 && decimal(bytes.Replace(text, []byte{','}, []byte{'.'}, 1)) {
		return "is not a number; write a point, not a comma, before the decimals"
	}
	return "is not a number"
}

// wholeNumber reads a whole number within the rule's bounds.
func (c *cell) wholeNumber(r *rule) (v int, reason string) {
	x, reason := c.number(r)
	if reason != "" {
		return 0, reason
	}
	if x != math.Trunc(x) {
		return 0, "is not a whole number"
	}
	return int(x), ""
}

// truth reads true or false, also written 1 and 0, yes and no.
func (c *cell) truth() (v bool, reason string) {
	switch c.kind {
	case cellTruth, cellWhole:
		if c.whole == 0 || c.whole == 1 {
			return c.whole == 1, ""
		}
	case cellNumber:
		if c.num == 0 || c.num == 1 {
			return c.num == 1, ""
		}
	case cellText:
		switch strings.ToLower(string(bytes.TrimSpace(c.text))) {
		case "true", "1", "yes":
			return true, ""
		case "false", "0", "no":
			return false, ""
		}
	}
	return false, "must be true or false"
}

var outcomeWords = func() map[string]domain.Outcome {
	m := map[string]domain.Outcome{"1": domain.OutcomeHeld, "0": domain.OutcomeFailed,
		"true": domain.OutcomeHeld, "false": domain.OutcomeFailed}
	for _, o := range domain.Outcomes {
		m[string(o)] = o
	}
	return m
}()

var badOutcome = func() string {
	words := make([]string, len(domain.Outcomes))
	for i, o := range domain.Outcomes {
		words[i] = string(o)
	}
	return "must be one of " + strings.Join(words, ", ") + ", or 1 or true for held, 0 or false for failed"
}()

func (c *cell) outcome() (o domain.Outcome, reason string) {
	if c.kind == cellText {
		text := bytes.TrimSpace(c.text)
		o, ok := outcomeWords[string(text)]
		if !ok {
			o, ok = outcomeWords[strings.ToLower(string(text))]
		}
		if ok {
			return o, ""
		}
		return "", badOutcome
	}
	held, reason := c.truth()
	switch {
	case reason != "":
		return "", badOutcome
	case held:
		return domain.OutcomeHeld, ""
	}
	return domain.OutcomeFailed, ""
}

func (c *cell) time() (t time.Time, reason string) {
	switch c.kind {
	case cellTime:
		t = c.when
	case cellText:
		var err error
		if t, err = time.Parse(time.RFC3339, string(bytes.TrimSpace(c.text))); err != nil {
			return t, "is not a time; write date, time and zone as in 2026-03-01T14:05:00Z (RFC 3339)"
		}
	default:
		return t, "is not a time; write date, time and zone as in 2026-03-01T14:05:00Z (RFC 3339)"
	}
	if y := t.Year(); y < 1900 || y > 2200 {
		return t, "must lie between the years 1900 and 2200"
	}
	return t.UTC(), ""
}
