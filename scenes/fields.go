package scenes

import (
	"math"
	"reflect"
	"strconv"
	"strings"
)

// The formats are structs whose fields carry tags:
//
//	yaml   the field's name; ",needed" behind it: it must be given
//	is     what it means, for the schema and for people
//	from   least value, included; above: least value, excluded; to: most, included; of an array or list: of each entry
//	few    least number of a list's entries; many: most
//	words  what a text may be, separated by |
//
// A field of the name _ says how fields exclude each other: one (just one of those listed, separated by |) or most (no more
// than one of them). What can be left out without meaning the zero value is a pointer.
type field struct {
	index           []int
	name            string
	needed          bool
	is              string
	from, above, to *float64
	few, many       int
	words           []string
}

// rule is what a field named _ says.
type rule struct {
	exactly bool
	names   []string
}

// fieldsOf lists the fields of a format, those of embedded structs in their place.
func fieldsOf(t reflect.Type) (fields []field, rules []rule) {
	for i := range t.NumField() {
		tag := t.Field(i).Tag
		if t.Field(i).Anonymous {
			inner, more := fieldsOf(t.Field(i).Type)
			for _, f := range inner {
				f.index = append([]int{i}, f.index...)
				fields = append(fields, f)
			}
			rules = append(rules, more...)
			continue
		}
		if t.Field(i).Name == "_" {
			if one, ok := tag.Lookup("one"); ok {
				rules = append(rules, rule{true, strings.Split(one, "|")})
			} else {
				rules = append(rules, rule{false, strings.Split(tag.Get("most"), "|")})
			}
			continue
		}
		f := field{index: []int{i}, is: tag.Get("is")}
		name, needed, _ := strings.Cut(tag.Get("yaml"), ",")
		f.name, f.needed = name, needed == "needed"
		f.from, f.above, f.to = bound(tag, "from"), bound(tag, "above"), bound(tag, "to")
		f.few, _ = strconv.Atoi(tag.Get("few"))
		f.many, _ = strconv.Atoi(tag.Get("many"))
		if words := tag.Get("words"); words != "" {
			f.words = strings.Split(words, "|")
		}
		fields = append(fields, f)
	}
	return fields, rules
}

func bound(tag reflect.StructTag, key string) *float64 {
	text, ok := tag.Lookup(key)
	if !ok {
		return nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil
	}
	return &x
}

// mostNumber bounds every number that has no bound of its own, so that products of a few stay finite.
const mostNumber = 1e12

// out says what is wrong with a number, or nothing.
func (f *field) out(x float64) string {
	switch {
	case f.above != nil && !(x > *f.above):
		return "must be above " + trimmed(*f.above)
	case f.from != nil && f.to != nil && !(x >= *f.from && x <= *f.to):
		return "must lie between " + trimmed(*f.from) + " and " + trimmed(*f.to)
	case f.from != nil && !(x >= *f.from):
		return "must be " + trimmed(*f.from) + " or more"
	case f.to != nil && !(x <= *f.to):
		return "must be at most " + trimmed(*f.to)
	case !(math.Abs(x) <= mostNumber):
		return "is too large to mean anything"
	}
	return ""
}

func trimmed(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// part is a piece of a scene that stands in the scene's file or in one of its own. Both empty: not given.
type part[T any] struct {
	File string
	Here *T
}

// either is what every part is, for those who do not know of what.
type either interface {
	file() *string
	here() reflect.Value // of the pointer
}

func (p *part[T]) file() *string       { return &p.File }
func (p *part[T]) here() reflect.Value { return reflect.ValueOf(&p.Here).Elem() }
