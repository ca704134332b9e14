package scenes

import (
	"embed"
	"encoding/json"
	"reflect"
	"strings"
)

//go:embed schemas/*.json
var published embed.FS

// SchemaNames lists the formats that have a JSON Schema.
var SchemaNames = []string{"scene", "hand", "item", "setting", "strategy"}

// Schema returns the JSON Schema (draft 2020-12) of a format; false if there is none of that name.
func Schema(name string) ([]byte, bool) {
	text, err := published.ReadFile("schemas/" + name + ".json")
	return text, err == nil
}

// formats are the types behind the schemas.
var formats = map[string]struct {
	of    reflect.Type
	about string
}{
	"scene":    {reflect.TypeFor[sceneFile](), "A scene of simulated trials: hand, item, setting and strategy, each a file's path or written out."},
	"hand":     {reflect.TypeFor[handFile](), "A hand: fingers on a palm, what closes them, what it is covered with. The palm's frame has z out of the palm and x across the fingers' opening."},
	"item":     {reflect.TypeFor[itemFile](), "A family of items to pick, with how its members differ."},
	"setting":  {reflect.TypeFor[settingFile](), "What surrounds the item. The support is the plane z = 0; the item is believed to lie above the origin."},
	"strategy": {reflect.TypeFor[strategyFile](), "A motion program in phases. The planner works out the places for item, setting, hand and orientation."},
}

// object is a JSON object that keeps the order of its keys.
type object []pair

type pair struct {
	key   string
	value any
}

func (o object) MarshalJSON() ([]byte, error) {
	var b strings.Builder
	b.WriteByte('{')
	for i, p := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(p.key)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(p.value)
		if err != nil {
			return nil, err
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return []byte(b.String()), nil
}

// schemaOf makes the schema of a format out of its type's tags.
func schemaOf(name string) ([]byte, error) {
	f := formats[name]
	w := schemaWriter{defined: map[string]bool{}}
	top := object{{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"$id", "urn:holdfast:" + name + ":1"}, {"title", "Holdfast " + name + ", version 1"}, {"description", f.about}}
	top = append(top, w.body(f.of)...)
	if len(w.defs) > 0 {
		top = append(top, pair{"$defs", w.defs})
	}
	return json.MarshalIndent(top, "", "  ")
}

type schemaWriter struct {
	defs    object
	defined map[string]bool
}

func (w *schemaWriter) body(t reflect.Type) object {
	fields, rules := fieldsOf(t)
	needed, properties := []string{}, object{}
	for i := range fields {
		f := &fields[i]
		if f.needed {
			needed = append(needed, f.name)
		}
		properties = append(properties, pair{f.name, append(object{{"description", f.is}}, w.of(t.FieldByIndex(f.index).Type, f)...)})
	}
	out := object{{"type", "object"}, {"additionalProperties", false}}
	if len(needed) > 0 {
		out = append(out, pair{"required", needed})
	}
	out = append(out, pair{"properties", properties})
	var all []object
	for _, r := range rules {
		var given []object
		for _, name := range r.names {
			given = append(given, object{{"required", []string{name}}})
		}
		if !r.exactly {
			given = append(given, object{{"not", object{{"anyOf", append([]object(nil), given...)}}}})
		}
		all = append(all, object{{"oneOf", given}})
	}
	if len(all) > 0 {
		out = append(out, pair{"allOf", all})
	}
	return out
}

func (w *schemaWriter) of(t reflect.Type, f *field) object {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if e, ok := reflect.New(t).Interface().(either); ok {
		return object{{"anyOf", []object{{{"type", "string"}, {"minLength", 1}}, w.of(e.here().Type(), f)}}}
	}
	switch t.Kind() {
	case reflect.Struct:
		name := strings.TrimSuffix(t.Name(), "File")
		if !w.defined[name] {
			w.defined[name] = true
			at := len(w.defs)
			w.defs = append(w.defs, pair{key: name})
			body := w.body(t)
			w.defs[at].value = body
		}
		return object{{"$ref", "#/$defs/" + name}}
	case reflect.Slice:
		out := object{{"type", "array"}}
		if f.few > 0 {
			out = append(out, pair{"minItems", f.few})
		}
		if f.many > 0 {
			out = append(out, pair{"maxItems", f.many})
		}
		return append(out, pair{"items", w.of(t.Elem(), f)})
	case reflect.Array:
		return object{{"type", "array"}, {"minItems", t.Len()}, {"maxItems", t.Len()}, {"items", w.of(t.Elem(), f)}}
	case reflect.Bool:
		return object{{"type", "boolean"}}
	case reflect.String:
		if f.words != nil {
			return object{{"enum", f.words}}
		}
		return object{{"type", "string"}, {"minLength", 1}, {"maxLength", 2000}}
	}
	out := object{{"type", "number"}}
	if t.Kind() == reflect.Int {
		out = object{{"type", "integer"}}
	}
	if f.above != nil {
		out = append(out, pair{"exclusiveMinimum", *f.above})
	}
	if f.from != nil {
		out = append(out, pair{"minimum", *f.from})
	}
	if f.to != nil {
		out = append(out, pair{"maximum", *f.to})
	}
	return out
}
