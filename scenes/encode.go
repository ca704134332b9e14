package scenes

import (
	"reflect"
	"regexp"
	"strconv"
	"strings"
)

// encode writes a value as YAML that decode reads back, fields in the order of the type. What is zero and not needed is left
// out; vectors stand on one line.
func encode(v reflect.Value) []byte {
	var b strings.Builder
	writeFields(&b, v, "", "")
	return []byte(b.String())
}

// writeFields writes the fields of a struct; first stands before the first line in place of the indent.
func writeFields(b *strings.Builder, v reflect.Value, first, indent string) {
	fields, _ := fieldsOf(v.Type())
	lead := first
	for i := range fields {
		f := &fields[i]
		x := v.FieldByIndex(f.index)
		if e, ok := x.Addr().Interface().(either); ok {
			if *e.file() != "" {
				x = reflect.ValueOf(e.file()).Elem()
			} else {
				x = e.here()
			}
		}
		// A pointer that points says that something was given, even if it is zero.
		if x.IsZero() && !f.needed || x.Kind() == reflect.Pointer && x.IsNil() || x.Kind() == reflect.Slice && x.Len() == 0 {
			continue
		}
		b.WriteString(lead + f.name + ":")
		lead = indent
		writeValue(b, x, indent)
	}
	if lead == first && first != indent {
		b.WriteString(first + "{}\n")
	}
}

func writeValue(b *strings.Builder, v reflect.Value, indent string) {
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Struct:
		if emptyStruct(v) {
			b.WriteString(" {}\n")
			return
		}
		b.WriteString("\n")
		writeFields(b, v, indent+"  ", indent+"  ")
	case reflect.Slice:
		if k := v.Type().Elem().Kind(); k == reflect.Float64 || k == reflect.String {
			b.WriteString(" " + inLine(v) + "\n")
			return
		}
		b.WriteString("\n")
		for i := range v.Len() {
			if v.Index(i).Kind() == reflect.Struct {
				writeFields(b, v.Index(i), indent+"  - ", indent+"    ")
				continue
			}
			b.WriteString(indent + "  - " + inLine(v.Index(i)) + "\n")
		}
	default:
		b.WriteString(" " + inLine(v) + "\n")
	}
}

// emptyStruct says that nothing of the struct would be written.
func emptyStruct(v reflect.Value) bool {
	var b strings.Builder
	writeFields(&b, v, "", "")
	return b.Len() == 0
}

// inLine writes scalars, and lists of them in brackets.
func inLine(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Float64:
		return decimalText(v.Float())
	case reflect.Int:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.String:
		return scalarText(v.String())
	}
	parts := make([]string, v.Len())
	for i := range parts {
		parts[i] = inLine(v.Index(i))
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// decimalText writes the fewest digits that read back the same. Exponents get a point, without which many readers of YAML take
// the number for a text.
func decimalText(x float64) string {
	if x == 0 {
		return "0"
	}
	if s := strconv.FormatFloat(x, 'f', -1, 64); len(s) <= 24 {
		return s
	}
	s := strconv.FormatFloat(x, 'e', -1, 64)
	if at := strings.IndexByte(s, 'e'); !strings.Contains(s[:at], ".") {
		s = s[:at] + ".0" + s[at:]
	}
	return s
}

var bare = regexp.MustCompile(`^[A-Za-z/][A-Za-z0-9_./-]*$`)

// scalarText writes a text, in double quotes unless it can be taken for nothing else.
func scalarText(s string) string {
	switch strings.ToLower(s) {
	case "true", "false", "yes", "no", "on", "off", "null", "y", "n":
	default:
		if bare.MatchString(s) {
			return s
		}
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteString("\\" + string(r))
		case r == '\n':
			b.WriteString("\\n")
		case r == '\t':
			b.WriteString("\\t")
		case r < 0x20 || r == 0x7f || r >= 0x80 && r < 0xa0 || r == 0x2028 || r == 0x2029 || r == 0xfeff:
			q := strconv.FormatInt(int64(r), 16)
			b.WriteString("\\u" + strings.Repeat("0", 4-len(q)) + q)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
