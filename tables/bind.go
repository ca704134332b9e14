package tables

import (
	"fmt"
	"sort"
	"strings"

	"holdfast/domain"
	"holdfast/faults"
)

// fold makes column names comparable.
func fold(name string) string { return strings.ToLower(strings.TrimSpace(name)) }

// bind decides what each column is for. Faults of the header end up in a.faults.
func (a *assembler) bind(names []string, m *ColumnMap, line int) {
	if m == nil {
		m = &ColumnMap{}
	}
	fault := func(column, value, reason string) {
		add(a.faults, Fault{Line: line, Column: column, Value: value, Reason: reason})
	}
	a.binds = make([]binding, len(names))
	at := map[string]int{}
	for i, name := range names {
		a.binds[i].column = strings.TrimSpace(name)
		key := fold(name)
		if _, twice := at[key]; twice && key != "" {
			fault(a.binds[i].column, "", "appears twice in the header; names do not differ by upper and lower case or spaces around them")
			continue
		}
		at[key] = i
	}
	taken := m.base.Given // fields that already have a source
	for f := range fieldCount {
		source, mapped := m.columns[f]
		if !mapped {
			continue
		}
		i, found := at[fold(source)]
		if !found {
			fault(source, "", fmt.Sprintf("is not in the file; the column map wants it for %s; the header has %s", f, listNames(names)))
			continue
		}
		a.binds[i].bound, a.binds[i].field = true, f
		taken = taken.with(f)
	}
	for _, w := range m.words {
		i, found := at[fold(w.column)]
		if !found {
			fault(w.column, "", fmt.Sprintf("is not in the file; the column map has words for it; the header has %s", listNames(names)))
			continue
		}
		a.binds[i] = binding{column: a.binds[i].column, bound: true, words: w.words, sets: w.fields, known: w.known}
		taken |= w.fields
	}
	for i := range a.binds {
		b := &a.binds[i]
		f, known := fieldNames[fold(b.column)]
		if b.bound || !known || taken.Has(f) || at[fold(b.column)] != i {
			continue
		}
		b.bound, b.field = true, f
		taken = taken.with(f)
	}
	a.base, a.baseNum, a.failedAs = m.base, m.baseNum, m.failedAs
	if a.failedAs == "" {
		a.failedAs = domain.OutcomeFailed
	}
	a.choose(taken, fault)
	for i := range a.binds {
		if b := &a.binds[i]; !b.bound {
			a.ignored = append(a.ignored, b.column)
		}
	}
}

// choose settles which of two ways of telling orientation and outcome the file uses, and drops what is not needed.
func (a *assembler) choose(taken Fields, fault func(column, value, reason string)) {
	drop := func(set Fields) {
		for i := range a.binds {
			if b := &a.binds[i]; b.bound && b.words == nil && set.Has(b.field) {
				b.bound = false
			}
		}
		a.base.Given &^= set
	}
	switch {
	case taken&quaternionFields == quaternionFields:
		a.quaternion = true
		drop(angleFields)
	case taken&angleFields == angleFields:
		drop(quaternionFields)
	default:
		fault("", "", "the columns do not tell the orientation; it takes qw, qx, qy, qz or tilt_deg, azimuth_deg, roll_deg"+missing(taken, quaternionFields, angleFields))
	}
	if a.want == wantGrid {
		drop(^(quaternionFields | angleFields))
		return
	}
	if a.want != wantFeatures {
		drop(featureFields)
	}
	switch {
	case taken.Has(FieldOutcome):
		drop(countFields)
	case taken&countFields == countFields:
		a.counted = true
	default:
		fault("", "", "the columns do not tell how the trials ended; it takes outcome, or held and trials"+missing(taken, countFields))
	}
}

// missing says what is left out when a part of a set was given.
func missing(taken Fields, sets ...Fields) string {
	for _, set := range sets {
		if taken&set == 0 {
			continue
		}
		var names []string
		for f := range fieldCount {
			if set.Has(f) && !taken.Has(f) {
				names = append(names, f.String())
			}
		}
		return "; missing: " + strings.Join(names, ", ")
	}
	return ""
}

func listNames(names []string) string {
	const most = 20
	shown := make([]string, 0, most)
	for _, n := range names {
		if len(shown) == most {
			shown = append(shown, "…")
			break
		}
		shown = append(shown, faults.Printable(shorten(strings.TrimSpace(n))))
	}
	return strings.Join(shown, ", ")
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
