package scenes

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"holdfast/faults"
	"holdfast/mechanics/trialsim"
)

// sound sees that reading ends in something that can be simulated or in faults of the file, never in anything else.
func sound(t *testing.T, value any, err error) bool {
	if err == nil {
		for _, check := range []func() error{
			func() error {
				if h, ok := value.(*trialsim.Hand); ok {
					return h.Check()
				}
				return nil
			},
			func() error {
				if s, ok := value.(*Scene); ok {
					return s.Check()
				}
				return nil
			},
		} {
			if err := check(); err != nil {
				t.Fatalf("taken, but: %v", err)
			}
		}
		return true
	}
	var list *Errors
	if !errors.As(err, &list) || len(list.Faults) == 0 || len(list.Faults) > faults.Most || len(list.Error()) > 1<<20 {
		t.Fatalf("error %v is not a list of faults", err)
	}
	return false
}

// FuzzYAML reads a text as every format. What is taken fits the published schema and reads back the same when written.
func FuzzYAML(f *testing.F) {
	for _, text := range goods {
		f.Add([]byte(text))
	}
	f.Add([]byte(ofURDF))
	eachShipped(f, func(_, _ string, text []byte) { f.Add(text) })
	schemas := map[string]*jsonschema.Schema{}
	for _, name := range SchemaNames {
		schemas[name] = compiled(f, name)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		files := fstest.MapFS{"f": {Data: text}, "hand.urdf": {Data: []byte(twoFingers)}}
		for _, format := range SchemaNames {
			value, err := readAny(files, "f", format)
			if !sound(t, value, err) {
				continue
			}
			if doc, err := asJSON(text); err == nil {
				if err := schemas[format].Validate(doc); err != nil {
					t.Fatalf("taken as %s, but does not fit the schema: %v", format, err)
				}
			}
			file := reflect.New(formats[format].of).Elem()
			src := &source{file: "f", at: map[string]position{}, errors: &Errors{}}
			if !src.fill(text, file) {
				t.Fatalf("taken as %s, but not decoded: %v", format, src.errors)
			}
			written := encode(file)
			again := reflect.New(formats[format].of).Elem()
			if !src.fill(written, again) {
				t.Fatalf("what was written does not read: %v\n%s", src.errors, written)
			}
			if !reflect.DeepEqual(plain(file), plain(again)) {
				t.Fatalf("written and read again it is another %s:\n%s", format, written)
			}
			if h, ok := value.(*trialsim.Hand); ok {
				full, err := ReadHand(fstest.MapFS{"f": {Data: WriteHand(h)}}, "f")
				if err != nil {
					t.Fatalf("written in full it does not read: %v\n%s", err, WriteHand(h))
				}
				if full.Joints() != h.Joints() || len(full.Cords) != len(h.Cords) {
					t.Fatal("written in full it is another hand:", cmp.Diff(figures(h), figures(full)))
				}
			}
		}
	})
}

// plain makes values comparable: a list of nothing is no list, and a zero has no sign.
func plain(v reflect.Value) string { return strings.ReplaceAll(string(encode(v)), "-0\n", "0\n") }

// FuzzURDF reads a text as the links and joints of a hand.
func FuzzURDF(f *testing.F) {
	f.Add([]byte(twoFingers))
	f.Add([]byte(`<robot name="r"><link name="palm"/><link name="l"><inertial><mass value="1"/><inertia ixx="1" iyy="1" izz="1"/></inertial></link><joint name="j" type="continuous"><parent link="palm"/><child link="l"/></joint></robot>`))
	f.Add([]byte(`<robot><link name="a"/><link name="b"/><joint name="j" type="fixed"><parent link="a"/><child link="b"/></joint><joint name="k" type="fixed"><parent link="b"/><child link="a"/></joint></robot>`))
	f.Add([]byte(`<!DOCTYPE r [<!ENTITY a "b">]><robot>&a;</robot>`))
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, palm := range []string{"", "  palm: palm\n"} {
			hand := strings.Replace("name: F\nurdf:\n  file: hand.urdf\nPALM  every_joint: {stiffness_Nm_per_rad: 0.1, stiffness_N_per_mm: 2}\npalm: {radius_mm: 30}\nskin: {friction: 0.6, stiffness_N_per_mm: 4}\n", "PALM", palm, 1)
			h, err := ReadHand(fstest.MapFS{"f": {Data: []byte(hand)}, "hand.urdf": {Data: text}}, "f")
			if sound(t, h, err) && len(h.Fingers) == 0 {
				t.Fatal("a hand without fingers")
			}
		}
	})
}
