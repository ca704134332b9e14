package scenes

import (
	"reflect"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"

	"holdfast/faults"
)

// decode fills v, which must be settable, from a part of a text. It notes everything that does not fit.
func (s *source) decode(n *node, v reflect.Value, f *field, here spot) {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if n.kind == nothing {
		here.fault("has no value; give it one, or leave the line out")
		return
	}
	if e, ok := v.Addr().Interface().(either); ok {
		if n.kind == scalar {
			s.decode(n, reflect.ValueOf(e.file()).Elem(), f, here)
			return
		}
		s.decode(n, e.here(), f, here)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		s.decodeStruct(n, v, here)
	case reflect.Slice:
		if n.kind != list {
			here.fault("is %s; it must be a list", n.name())
			return
		}
		if len(n.items) < f.few {
			here.fault("has %d entries; at least %d are needed", len(n.items), f.few)
		}
		if f.many > 0 && len(n.items) > f.many {
			here.fault("has %d entries; at most %d are taken", len(n.items), f.many)
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), len(n.items), len(n.items)))
		for i, item := range n.items {
			s.decode(item, v.Index(i), f, here.nth(i))
		}
	case reflect.Array:
		if n.kind != list || len(n.items) != v.Len() {
			here.fault("is %s; it must be a list of %d numbers, as %s", n.name(), v.Len(), "["+strings.TrimSuffix(strings.Repeat("0, ", v.Len()), ", ")+"]")
			return
		}
		for i, item := range n.items {
			s.decode(item, v.Index(i), f, here.nth(i))
		}
	case reflect.Float64:
		x, reason := n.number()
		if reason == "" {
			reason = f.out(x)
		}
		if reason != "" {
			here.fault("%s %s", n.shown(), reason)
			return
		}
		v.SetFloat(x)
	case reflect.Int:
		x, reason := n.number()
		if reason == "" {
			reason = f.out(x)
		}
		if reason == "" && x != float64(int(x)) {
			reason = "must be a whole number"
		}
		if reason != "" {
			here.fault("%s %s", n.shown(), reason)
			return
		}
		v.SetInt(int64(x))
	case reflect.Bool:
		if n.kind != scalar || !n.plain || n.text != "true" && n.text != "false" {
			here.fault("%s must be true or false", n.shown())
			return
		}
		v.SetBool(n.text == "true")
	case reflect.String:
		s.decodeText(n, v, f, here)
	}
}

func (s *source) decodeText(n *node, v reflect.Value, f *field, here spot) {
	if n.kind != scalar {
		here.fault("is %s; it must be a text", n.name())
		return
	}
	if _, reason := n.number(); n.plain && (reason == "" || n.text == "true" || n.text == "false") {
		here.fault("%s is a text here; put it in quotes", n.shown())
		return
	}
	if strings.TrimSpace(n.text) == "" {
		here.fault("is an empty text")
		return
	}
	if f.words != nil {
		for _, w := range f.words {
			if n.text == w {
				v.SetString(w)
				return
			}
		}
		here.fault("%s is none of %s", n.shown(), strings.Join(f.words, ", "))
		return
	}
	if len(n.text) > 2000 {
		here.fault("is longer than 2000 bytes")
		return
	}
	v.SetString(n.text)
}

func (s *source) decodeStruct(n *node, v reflect.Value, here spot) {
	fields, rules := fieldsOf(v.Type())
	if n.kind != mapping {
		names := make([]string, len(fields))
		for i := range fields {
			names[i] = fields[i].name
		}
		here.fault("is %s; it must be lines of field: value with %s", n.name(), strings.Join(names, ", "))
		return
	}
	given := map[string]int{} // how many fields were given when this one was
	for _, e := range n.entries {
		f := find(fields, e.key)
		if f == nil {
			p := here.in(e.key)
			s.at[p.path] = e.at
			p.fault("is no field here%s", suggestion(fields, e.key))
			continue
		}
		given[f.name] = 1 + len(given)
		s.decode(e.value, v.FieldByIndex(f.index), f, here.in(f.name))
	}
	for i := range fields {
		if f := &fields[i]; f.needed && given[f.name] == 0 {
			here.fault("needs %s: %s", f.name, f.is)
		}
	}
	for _, r := range rules {
		var both []string
		for _, name := range r.names {
			if given[name] > 0 {
				both = append(both, name)
			}
		}
		slices.SortFunc(both, func(a, b string) int { return given[a] - given[b] })
		switch {
		case len(both) > 1:
			here.in(both[len(both)-1]).fault("is given beside %s; keep one of them", both[0])
		case len(both) == 0 && r.exactly:
			here.fault("needs one of %s", strings.Join(r.names, ", "))
		}
	}
}

func find(fields []field, name string) *field {
	for i := range fields {
		if fields[i].name == name {
			return &fields[i]
		}
	}
	return nil
}

// suggestion names the field that was likely meant, or all there are.
func suggestion(fields []field, key string) string {
	best, least := "", 1+len(key)/3
	names := make([]string, len(fields))
	for i := range fields {
		name := fields[i].name
		names[i] = name
		// The unit is what is most often left out or wrong.
		if stem(name) == stem(key) {
			return "; is " + name + " meant?"
		}
		if d := distance(name, key); d <= least {
			best, least = name, d-1
		}
	}
	if best != "" {
		return "; is " + best + " meant?"
	}
	sort.Strings(names)
	return "; fields are " + strings.Join(names, ", ")
}

var unit = regexp.MustCompile(`_(mm|cm|m|deg|rad|g|kg|N|s|Hz|kPa|Pa|bar|N_per_mm|N_per_m|Nm_per_rad|Nms_per_rad|Ns_per_mm|Nmm2|g_mm2|mm_per_s)$`)

func stem(name string) string { return strings.ToLower(unit.ReplaceAllString(name, "")) }

// distance is how many letters have to be put in, taken out, changed or swapped with the next to come from a to b (optimal string
// alignment).
func distance(a, b string) int {
	if len(a) > 60 || len(b) > 60 {
		return 60
	}
	before, row := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		next := make([]int, len(b)+1)
		next[0] = i + 1
		for j := range len(b) {
			change := row[j]
			if a[i] != b[j] {
				change++
			}
			next[j+1] = min(change, next[j]+1, row[j+1]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
		before, row = row, next
	}
	return row[len(b)]
}

var decimal = regexp.MustCompile(`^[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?$`)

func (n *node) number() (x float64, reason string) {
	const want = "must be a decimal number"
	if n.kind != scalar || len(n.text) > 400 {
		return 0, want
	}
	if !n.plain {
		return 0, want + " without quotes"
	}
	if !decimal.MatchString(n.text) {
		if decimal.MatchString(strings.Replace(n.text, ",", ".", 1)) {
			return 0, want + " with a point, not a comma"
		}
		return 0, want
	}
	x, err := strconv.ParseFloat(n.text, 64)
	if err != nil {
		return 0, "is too large to mean anything"
	}
	return x, ""
}

// name says what kind of thing stands there.
func (n *node) name() string {
	switch n.kind {
	case scalar:
		return quoted(n.text)
	case list:
		if len(n.items) == 1 {
			return "a list of 1 entry"
		}
		return "a list of " + strconv.Itoa(len(n.items)) + " entries"
	case mapping:
		return "a group of fields"
	}
	return "nothing"
}

// shown is what stands there as a message begins with it.
func (n *node) shown() string {
	if n.kind == scalar {
		if n.plain {
			return faults.Printable(shorten(n.text))
		}
		return quoted(n.text)
	}
	return n.name()
}
