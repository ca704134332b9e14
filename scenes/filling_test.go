package scenes_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"holdfast/scenes"
)

func TestFillingOfItems(t *testing.T) {
	const head = "name: Filled roll\nmass_g: 60\nshape:\n  box: {size_mm: [80, 40, 30]}\n"
	for name, c := range map[string]struct{ more, fault string }{
		"off the middle":      {"centre_mm: [12, 0, -3]\n", ""},
		"of its own inertia":  {"inertia_g_mm2: [9000, 30000, 33000]\n", ""},
		"outside":             {"centre_mm: [0, 0, 40]\n", "outside the solid"},
		"no body's inertia":   {"inertia_g_mm2: [1000, 1000, 33000]\n", "none more than the other two together"},
		"two numbers":         {"centre_mm: [1, 2]\n", "roll.yaml:5:"},
		"nothing resists":     {"inertia_g_mm2: [0, 30000, 33000]\n", "roll.yaml:5:"},
		"a name that is none": {"center_mm: [1, 2, 3]\n", "center_mm"},
	} {
		_, err := scenes.ReadItem(fstest.MapFS{"roll.yaml": {Data: []byte(head + c.more)}}, "roll.yaml")
		if (err == nil) != (c.fault == "") || err != nil && !strings.Contains(err.Error(), c.fault) {
			t.Errorf("%s: %v, want %q", name, err, c.fault)
		}
	}
}
