package tables

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"holdfast/domain"
	"holdfast/orient"
)

// maxTrials bounds what one file may expand to.
const maxTrials = 1_000_000

type want uint8

const (
	wantTrials   want = iota
	wantGrid          // orientations only
	wantFeatures      // trials, with what is known of their items
)

// binding says what a column of the file is for.
type binding struct {
	column string
	bound  bool
	field  Field
	words  map[string][]assignment // instead of field: each word sets several fields
	sets   Fields                  // what the words set
	known  string                  // the words, for messages
}

// assignment sets a field to a value that the column map fixed.
type assignment struct {
	field Field
	value cell
}

// assembler turns cells into rows and gathers faults.
type assembler struct {
	want       want
	binds      []binding
	ignored    []string
	failedAs   domain.Outcome
	quaternion bool // the rows' orientation comes as a quaternion, else as angles
	counted    bool // held and trials instead of outcome

	base    Row // what the constants fix
	baseNum [fieldCount]float64

	row Row
	num [fieldCount]float64

	digest   string
	keys     map[string]int32 // key → row number, when the file gives keys
	interned map[string]string
	faults   *Errors
	rows     int
	trials   int
	refused  Fields // fields of the present row whose value has a fault already
	typed    bool   // the file's format knows types: texts are not guarded against formulas
}

func (a *assembler) fault(column, value, reason string) {
	add(a.faults, Fault{Row: a.row.Number, Line: a.row.Line, Column: column, Value: value, Reason: reason})
}

// begin starts a data row.
func (a *assembler) begin(line int) {
	a.rows++
	a.row, a.num, a.refused = a.base, a.baseNum, 0
	a.row.Number, a.row.Line = a.rows, line
}

// cell takes the value of column i in the present row.
func (a *assembler) cell(i int, c *cell) {
	b := &a.binds[i]
	if !b.bound {
		return
	}
	if c.kind == cellText && !a.typed && unguardable(c.text) {
		unguarded := cell{kind: cellText, text: unguard(c.text)}
		c = &unguarded
	}
	if c.kind == cellEmpty || (c.kind == cellText && len(bytes.TrimSpace(c.text)) == 0) {
		return
	}
	if b.words == nil {
		if reason := a.set(b.field, c); reason != "" {
			a.fault(b.column, c.String(), reason)
			a.refused |= 1 << b.field
		}
		return
	}
	word := strings.TrimSpace(c.String())
	list, ok := b.words[word]
	if !ok {
		a.fault(b.column, word, "is not among the words of the column map: "+b.known)
		a.refused |= b.sets
		return
	}
	for i := range list {
		a.set(list[i].field, &list[i].value) // checked when the map was read
	}
}

// set puts a value into a field of the present row; it says why when it can not.
func (a *assembler) set(f Field, c *cell) (reason string) {
	r := &rules[f]
	switch r.kind {
	case kindText:
		reason = a.setText(f, c)
	case kindNumber:
		a.num[f], reason = c.number(r)
	case kindWhole:
		var n int
		n, reason = c.wholeNumber(r)
		a.num[f] = float64(n)
	case kindTruth:
		a.row.Reference, reason = c.truth()
	case kindOutcome:
		a.row.Outcome, reason = c.outcome()
	case kindTime:
		a.row.StartedAt, reason = c.time()
	}
	if reason == "" {
		a.row.Given |= 1 << f
	}
	return reason
}

func (a *assembler) setText(f Field, c *cell) (reason string) {
	text := c.text
	if c.kind != cellText {
		text = []byte(c.String())
	}
	switch {
	case bytes.IndexByte(text, 0) >= 0 || (a.typed && !utf8.Valid(text)):
		return "is not plain text: it holds a zero byte or is not UTF-8"
	case len(text) > rules[f].length:
		return fmt.Sprintf("is %d bytes long; at most %d are allowed", len(text), rules[f].length)
	}
	switch f {
	case FieldNote:
		a.row.Note = string(text)
	case FieldVoidReason:
		a.row.VoidReason = string(text)
	case FieldKey:
		a.row.Key = string(bytes.TrimSpace(text))
	case FieldHand:
		a.row.Hand = a.intern(bytes.TrimSpace(text))
	case FieldItem:
		a.row.Item = a.intern(bytes.TrimSpace(text))
	case FieldSetting:
		a.row.Setting = a.intern(bytes.TrimSpace(text))
	case FieldStrategy:
		a.row.Strategy = a.intern(bytes.TrimSpace(text))
	case FieldOperator:
		a.row.Operator = a.intern(bytes.TrimSpace(text))
	}
	return ""
}

// intern keeps one string for each name, since names repeat on every row.
func (a *assembler) intern(b []byte) string {
	if s, ok := a.interned[string(b)]; ok {
		return s
	}
	s := string(b)
	if len(a.interned) < 10_000 {
		a.interned[s] = s
	}
	return s
}

// end completes the present row and hands its trials to yield, unless the file is known to be faulty.
func (a *assembler) end(read int64, yield func(*Row, int64) error) error {
	r := &a.row
	a.orientation()
	if a.want == wantGrid {
		if a.faults.Count() > 0 {
			return nil
		}
		return yield(r, read)
	}
	r.Closing = a.num[FieldClosing]
	r.Offset = [3]float64{metres(a.num[FieldOffsetX]), metres(a.num[FieldOffsetY]), metres(a.num[FieldOffsetZ])}
	r.PeakForce, r.Duration, r.Block = a.num[FieldPeakForce], a.num[FieldDuration], int(a.num[FieldBlock])
	r.ItemSize, r.ItemMass = metres(a.num[FieldItemSize]), a.num[FieldItemMass]/1000
	a.key()
	held, trials := 0, 1
	if a.counted {
		held, trials = a.counts()
	} else {
		a.outcome()
	}
	if a.trials += trials; a.trials > maxTrials {
		a.trials -= trials
		a.fault("", "", fmt.Sprintf("brings the file above %d trials; split it", maxTrials))
	}
	if a.faults.Count() > 0 {
		return nil
	}
	if !a.counted {
		return yield(r, read)
	}
	stem := r.Key
	for k := range trials {
		r.Copy, r.Outcome = k+1, domain.OutcomeHeld
		if k >= held {
			r.Outcome = a.failedAs
		}
		r.Key = stem + "#" + strconv.Itoa(k+1)
		if err := yield(r, read); err != nil {
			return err
		}
	}
	return nil
}

func (a *assembler) orientation() {
	if a.quaternion {
		if !a.needs(quaternionFields) {
			return
		}
		q := orient.Rotation{W: a.num[FieldQW], X: a.num[FieldQX], Y: a.num[FieldQY], Z: a.num[FieldQZ]}
		n := q.Norm()
		if math.Abs(n-1) > 1e-3 {
			a.fault(a.columnOf(FieldQW), fmt.Sprintf("%g, %g, %g, %g", q.W, q.X, q.Y, q.Z),
				fmt.Sprintf("has length %.6g; an orientation is a unit quaternion qw, qx, qy, qz", n))
			return
		}
		a.row.Rotation = orient.Rotation{W: q.W / n, X: q.X / n, Y: q.Y / n, Z: q.Z / n}.Canonical()
		return
	}
	if !a.needs(angleFields) {
		return
	}
	const deg = math.Pi / 180
	a.row.Rotation = orient.FromApproach(orient.Approach{
		Tilt: a.num[FieldTilt] * deg, Azimuth: a.num[FieldAzimuth] * deg, Roll: a.num[FieldRoll] * deg})
}

// needs reports the fields of the set that the present row leaves empty. A field whose value was refused has its
// fault already.
func (a *assembler) needs(set Fields) bool {
	missing := set &^ a.row.Given
	for f := range fieldCount {
		if (missing &^ a.refused).Has(f) {
			a.fault(a.columnOf(f), "", "is empty, but every row needs it")
		}
	}
	return missing == 0
}

// columnOf names the file's column that sets the field.
func (a *assembler) columnOf(f Field) string {
	for i := range a.binds {
		b := &a.binds[i]
		if b.bound && b.words == nil && b.field == f {
			return b.column
		}
		for _, list := range b.words {
			for _, as := range list {
				if as.field == f {
					return b.column
				}
			}
		}
	}
	return f.String()
}

func (a *assembler) outcome() {
	r := &a.row
	if !a.needs(Fields(0).with(FieldOutcome)) {
		return
	}
	blank := strings.TrimSpace(r.VoidReason) == ""
	switch {
	case r.Outcome == domain.OutcomeVoid && blank:
		a.fault(a.columnOf(FieldVoidReason), "", "is empty, but a void trial needs a reason")
	case r.Outcome != domain.OutcomeVoid && !blank:
		a.fault(a.columnOf(FieldVoidReason), r.VoidReason, "is only for the outcome void")
	}
}

func (a *assembler) counts() (held, trials int) {
	if !a.needs(countFields) {
		return 0, 0
	}
	held, trials = int(a.num[FieldHeld]), int(a.num[FieldTrials])
	if held > trials {
		a.fault(a.columnOf(FieldHeld), strconv.Itoa(held), fmt.Sprintf("is more than the row's %d trials", trials))
		return 0, 0
	}
	return held, trials
}

// key sees that the present row has a key that is new in this file.
func (a *assembler) key() {
	r := &a.row
	if r.Key == "" {
		r.Key = "file-" + a.digest[:16] + "-" + strconv.Itoa(r.Number)
		return
	}
	if first, seen := a.keys[r.Key]; seen {
		a.fault(a.columnOf(FieldKey), r.Key, fmt.Sprintf("is the key of row %d already; each trial needs its own", first))
		return
	}
	a.keys[r.Key] = int32(r.Number)
}
