package tables

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"

	"holdfast/domain"
)

// ColumnMap tells how the columns of a foreign file become fields. It is read from YAML by [ParseColumnMap] and is
// not changed afterwards.
type ColumnMap struct {
	columns  map[Field]string
	words    []wordMap
	base     Row // constants
	baseNum  [fieldCount]float64
	failedAs domain.Outcome
}

// wordMap turns the words of one column into fields.
type wordMap struct {
	column string
	words  map[string][]assignment
	fields Fields
	known  string
}

type columnMapYAML struct {
	Columns   map[string]string                    `yaml:"columns"`
	Constants map[string]any                       `yaml:"constants"`
	Values    map[string]map[string]map[string]any `yaml:"values"`
	FailedAs  string                               `yaml:"failed_as"`
}

// ParseColumnMap reads a column map. name is for messages. A faulty map gives an [*Errors].
func ParseColumnMap(name string, text []byte) (m *ColumnMap, err error) {
	faults := &Errors{File: name}
	fault := func(path, value, reason string) {
		add(faults, Fault{Column: path, Value: value, Reason: reason})
	}
	var raw columnMapYAML
	if err := decodeYAML(text, &raw); err != nil {
		fault("", "", err.Error())
		return nil, faults
	}
	m = &ColumnMap{columns: map[Field]string{}}
	sources := map[string]string{} // folded source column → what uses it
	for _, target := range sortedKeys(raw.Columns) {
		source := strings.TrimSpace(raw.Columns[target])
		f, known := fieldNames[fold(target)]
		switch {
		case !known:
			fault("columns."+target, "", notAField)
			continue
		case source == "":
			fault("columns."+target, "", "needs the name of a column of the file")
			continue
		case sources[fold(source)] != "":
			fault("columns."+target, source, "is used by "+sources[fold(source)]+" already")
			continue
		case m.columns[f] != "":
			fault("columns."+target, source, "sets "+f.String()+" a second time")
			continue
		}
		m.columns[f] = source
		sources[fold(source)] = "columns." + target
	}
	m.readConstants(raw.Constants, fault)
	m.readValues(raw.Values, sources, fault)
	if raw.FailedAs != "" {
		m.failedAs = domain.Outcome(strings.ToLower(strings.TrimSpace(raw.FailedAs)))
		if !m.failedAs.Valid() || m.failedAs == domain.OutcomeHeld || m.failedAs == domain.OutcomeVoid {
			fault("failed_as", raw.FailedAs, "must be an outcome other than held and void, such as slipped")
		}
	}
	if err := faults.OrNil(); err != nil {
		return nil, err
	}
	return m, nil
}

const notAField = "is not a field of a trial; docs/formats.md lists them"

func (m *ColumnMap) readConstants(constants map[string]any, fault func(path, value, reason string)) {
	// An assembler is the one place that knows how values enter fields.
	a := &assembler{interned: map[string]string{}, typed: true}
	for _, target := range sortedKeys(constants) {
		path := "constants." + target
		as, reason := assign(target, constants[target])
		switch {
		case reason != "":
			fault(path, fmt.Sprint(constants[target]), reason)
		case m.columns[as.field] != "":
			fault(path, as.value.String(), "is set by columns."+as.field.String()+" too; keep one of them")
		case as.field == FieldKey:
			fault(path, as.value.String(), "can not be the same for all trials")
		case a.row.Given.Has(as.field):
			fault(path, as.value.String(), "sets "+as.field.String()+" a second time")
		default:
			if reason := a.set(as.field, &as.value); reason != "" {
				fault(path, as.value.String(), reason)
			}
		}
	}
	m.base, m.baseNum = a.row, a.num
}

func (m *ColumnMap) readValues(values map[string]map[string]map[string]any, sources map[string]string, fault func(path, value, reason string)) {
	var taken Fields
	for _, column := range sortedKeys(values) {
		path := "values." + column
		switch {
		case strings.TrimSpace(column) == "":
			fault(path, "", "needs the name of a column of the file")
			continue
		case sources[fold(column)] != "":
			fault(path, "", "its column is used by "+sources[fold(column)]+" already")
			continue
		case len(values[column]) == 0:
			fault(path, "", "has no words")
			continue
		}
		sources[fold(column)] = path
		w := wordMap{column: strings.TrimSpace(column), words: map[string][]assignment{}}
		a := &assembler{interned: map[string]string{}, typed: true}
		words := sortedKeys(values[column])
		for n, word := range words {
			here := path + "." + word
			a.row.Given = 0
			for _, target := range sortedKeys(values[column][word]) {
				value := values[column][word][target]
				as, reason := assign(target, value)
				if reason == "" && as.field == FieldKey {
					reason = "can not come from a word; keys differ from trial to trial"
				}
				if reason == "" {
					reason = a.set(as.field, &as.value)
				}
				if reason != "" {
					fault(here+"."+target, fmt.Sprint(value), reason)
					continue
				}
				w.words[strings.TrimSpace(word)] = append(w.words[strings.TrimSpace(word)], as)
			}
			if n == 0 {
				w.fields = a.row.Given
			} else if w.fields != a.row.Given {
				fault(here, "", "sets other fields than "+path+"."+words[0]+"; every word must set the same")
			}
		}
		if w.fields == 0 {
			fault(path, "", "sets no field")
		}
		for f := range fieldCount {
			if w.fields.Has(f) && (taken.Has(f) || m.columns[f] != "" || m.base.Given.Has(f)) {
				fault(path, "", f.String()+" is set elsewhere in the map too; keep one of them")
			}
		}
		taken |= w.fields
		w.known = listNames(words)
		m.words = append(m.words, w)
	}
}

// assign makes an assignment of a YAML scalar.
func assign(target string, value any) (as assignment, reason string) {
	f, known := fieldNames[fold(target)]
	if !known {
		return as, notAField
	}
	as.field = f
	switch v := value.(type) {
	case string:
		as.value = cell{kind: cellText, text: []byte(v)}
	case bool:
		as.value = cell{kind: cellTruth}
		if v {
			as.value.whole = 1
		}
	case int64:
		as.value = cell{kind: cellWhole, whole: v}
	case uint64:
		as.value = cell{kind: cellNumber, num: float64(v)}
		if v < 1<<53 {
			as.value = cell{kind: cellWhole, whole: int64(v)}
		}
	case int:
		as.value = cell{kind: cellWhole, whole: int64(v)}
	case float64:
		as.value = cell{kind: cellNumber, num: v}
	case time.Time:
		as.value = cell{kind: cellTime, when: v}
	default:
		return as, "must be a single text, number or truth value"
	}
	if as.value.kind == cellText && strings.TrimSpace(string(as.value.text)) == "" {
		return as, "must not be empty"
	}
	return as, ""
}

// decodeYAML reads strict YAML: unknown and repeated keys are refused, and so are anchors, which a column map has no
// use for and which can blow up a small file.
func decodeYAML(text []byte, into any) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("is not YAML that can be read")
		}
	}()
	if len(text) > 1<<20 {
		return errors.New("is larger than 1 MiB; a column map is a short text")
	}
	for _, t := range lexer.Tokenize(string(text)) {
		if t.Type == token.AnchorType || t.Type == token.AliasType || t.Type == token.MergeKeyType {
			return fmt.Errorf("line %d: anchors and aliases are not taken; write the value out", t.Position.Line)
		}
	}
	if err := yaml.UnmarshalWithOptions(text, into, yaml.Strict()); err != nil {
		return errors.New("is not a column map: " + strings.TrimSpace(yaml.FormatError(err, false, false)))
	}
	return nil
}
