package scenes

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"holdfast/mechanics/trialsim"
)

var update = flag.Bool("update", false, "rewrite golden files and schemas")

// The schemas are made out of the very tags that the decoder reads; this holds the published files to them.
func TestSchemasAreThoseOfTheTypes(t *testing.T) {
	for _, name := range SchemaNames {
		want, err := schemaOf(name)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, '\n')
		file := "schemas/" + name + ".json"
		if *update {
			if err := os.WriteFile(file, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if got, ok := Schema(name); !ok || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the types say; run: go test ./scenes -run Schemas -update", file)
		}
	}
	if _, ok := Schema("motor"); ok {
		t.Error("there is a schema of a name that is not listed")
	}
}

// Every field says what it is, has a unit where its name promises one, and a kind of value that the decoder knows.
func TestFieldsAreDescribed(t *testing.T) {
	var walk func(of reflect.Type, path string)
	seen := map[reflect.Type]bool{}
	walk = func(of reflect.Type, path string) {
		for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if e, ok := reflect.New(of).Interface().(either); ok {
			of = e.here().Type().Elem()
		}
		if of.Kind() != reflect.Struct || seen[of] {
			return
		}
		seen[of] = true
		fields, rules := fieldsOf(of)
		names := map[string]bool{}
		for _, f := range fields {
			if len(f.is) < 5 || !strings.HasSuffix(f.is, ".") {
				t.Errorf("%s.%s is described as %q", path, f.name, f.is)
			}
			if f.name == "" || names[f.name] {
				t.Errorf("%s has no name for a field, or has %q twice", path, f.name)
			}
			names[f.name] = true
			walk(of.FieldByIndex(f.index).Type, path+"."+f.name)
		}
		for _, r := range rules {
			for _, name := range r.names {
				if !names[name] {
					t.Errorf("%s has a rule on %q, which is no field", path, name)
				}
			}
		}
	}
	for name, f := range formats {
		walk(f.of, name)
	}
	if len(seen) < 25 {
		t.Errorf("only %d types were looked at", len(seen))
	}
}

func compiled(t testing.TB, name string) *jsonschema.Schema {
	t.Helper()
	text, _ := Schema(name)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(name, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asJSON is what a program that knows nothing of this room makes of a YAML text.
func asJSON(text []byte) (any, error) {
	j, err := yaml.YAMLToJSON(text)
	if err != nil {
		return nil, err
	}
	return jsonschema.UnmarshalJSON(bytes.NewReader(j))
}

// folders says which format the files of a folder of the examples have.
var folders = map[string]string{".": "scene", "hands": "hand", "items": "item", "settings": "setting", "strategies": "strategy"}

// eachShipped visits every YAML file among the examples.
func eachShipped(t testing.TB, visit func(name, format string, text []byte)) {
	t.Helper()
	n := 0
	err := fs.WalkDir(shipped, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".yaml" {
			return err
		}
		text, err := fs.ReadFile(shipped, name)
		if err != nil {
			return err
		}
		n++
		visit(name, folders[path.Dir(name)], text)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if n < 15 {
		t.Errorf("only %d files are shipped", n)
	}
}

func readAny(files fs.FS, name, format string) (any, error) {
	switch format {
	case "hand":
		return ReadHand(files, name)
	case "item":
		return ReadItem(files, name)
	case "setting":
		return ReadSetting(files, name)
	case "strategy":
		return ReadStrategy(files, name)
	}
	return ReadScene(files, name)
}

func TestShippedFilesFitTheirSchemas(t *testing.T) {
	schemas := map[string]*jsonschema.Schema{}
	for _, name := range SchemaNames {
		schemas[name] = compiled(t, name)
	}
	eachShipped(t, func(name, format string, text []byte) {
		doc, err := asJSON(text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		if err := schemas[format].Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := readAny(shipped, name, format); err != nil {
			t.Error(err)
		}
	})
}

// The words of the formats are those of the simulation.
func TestWordsAreThoseOfTheSimulation(t *testing.T) {
	fields, _ := fieldsOf(reflect.TypeFor[phaseFile]())
	check := func(name string, want []string) {
		if got := find(fields, name).words; !slices.Equal(got, want) {
			t.Errorf("%s can be %v, the simulation knows %v", name, got, want)
		}
	}
	check("do", texts(trialsim.Motions))
	check("to", texts(trialsim.Places))
	check("toward", texts(trialsim.Towards))
}

func texts[T ~string](list []T) (out []string) {
	for _, x := range list {
		out = append(out, string(x))
	}
	return out
}
