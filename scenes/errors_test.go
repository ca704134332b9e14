package scenes

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"holdfast/domain"
)

const goodHand = `name: Test hand
fingers:
  - name: a
    around: {count: 2, radius_mm: 20}
    joints:
      - name: base
        stiffness_Nm_per_rad: 0.1
        link: {length_mm: 30, radius_mm: 8, mass_g: 10}
      - name: tip
        stiffness_Nm_per_rad: 0.1
        link: {length_mm: 20, radius_mm: 7, mass_g: 6}
  - name: rail
    joints:
      - slides: true
        axis: [-1, 0, 0]
        stiffness_N_per_mm: 1
        link: {length_mm: 20, radius_mm: 7, mass_g: 6}
motors:
  - {name: m, travel_mm: 20, stiffness_N_per_mm: 1, most_force_N: 30}
cords:
  - over: [{fingers: [a], arms_mm: [8, 6]}]
palm: {radius_mm: 30}
skin: {friction: 0.6, stiffness_N_per_mm: 4}
`

const goodStrategy = `name: S
kind: free
phases:
  - {do: move, to: grasp}
  - {do: lift, distance_mm: 100}
`

const goodItem = `name: I
shape:
  ellipsoid: {size_mm: [50, 40, 30]}
mass_g: 50
`

const goodSetting = `name: T
support: {friction: 0.6, stiffness_N_per_mm: 4}
blocks:
  - name: box
    low_mm: [10, 10, 0]
    high_mm: [20, 20, 30]
`

var goods = map[string]string{"hand": goodHand, "strategy": goodStrategy, "item": goodItem, "setting": goodSetting}

// Each case spoils a good file in one place and says which lines of the message that gives.
func TestErrorsSayWhere(t *testing.T) {
	for _, c := range []struct{ name, format, old, new, want string }{
		{"unknown field", "hand", "mass_g: 10}", "mass: 10}", `f:8:45: fingers.1.joints.1.link.mass: is no field here; is mass_g meant?`},
		{"misspelt field", "hand", "stiffness_Nm_per_rad: 0.1\n        link: {length_mm: 30", "stifness_Nm_per_rad: 0.1\n        link: {length_mm: 30", `f:7:9: fingers.1.joints.1.stifness_Nm_per_rad: is no field here; is stiffness_Nm_per_rad meant?`},
		{"foreign field", "setting", "name: T", "name: T\ncolour: red", `f:2:1: colour: is no field here; fields are blocks, edge_mm, name, neighbours_mm, note, support, tray, walls`},
		{"number as text", "hand", "count: 2", "count: two", `f:4:21: fingers.1.around.count: two must be a decimal number`},
		{"decimal comma", "item", "mass_g: 50", "mass_g: 50,5", `f:4:9: mass_g: 50,5 must be a decimal number with a point, not a comma`},
		{"swapped letters", "setting", "name: T", "name: T\nntoe: x", `f:2:1: ntoe: is no field here; is note meant?`},
		{"number in quotes", "hand", "count: 2", `count: "2"`, `f:4:21: fingers.1.around.count: "2" must be a decimal number without quotes`},
		{"whole number", "hand", "count: 2", "count: 2.5", `f:4:21: fingers.1.around.count: 2.5 must be a whole number`},
		{"out of range", "hand", "radius_mm: 30", "radius_mm: -30", `f:22:19: palm.radius_mm: -30 must be above 0`},
		{"too many", "hand", "count: 2", "count: 20", `f:4:21: fingers.1.around.count: 20 must lie between 1 and 12`},
		{"hexadecimal", "item", "mass_g: 50", "mass_g: 0x10", `f:4:9: mass_g: 0x10 must be a decimal number`},
		{"infinite", "item", "mass_g: 50", "mass_g: .inf", `f:4:9: mass_g: .inf must be a decimal number`},
		{"beyond numbers", "item", "mass_g: 50", "mass_g: 1e999", `f:4:9: mass_g: 1e999 is too large to mean anything`},
		{"missing field", "item", "mass_g: 50", "heading_deg: 5", `f:1:1: needs mass_g: Mean mass.`},
		{"no value", "item", "mass_g: 50", "mass_g:", `f:4:1: mass_g: has no value; give it one, or leave the line out`},
		{"two shapes", "item", "mass_g: 50", "  box: {size_mm: [1, 1, 1]}\nmass_g: 50", `f:4:8: shape.box: is given beside ellipsoid; keep one of them`},
		{"no shape", "item", "  ellipsoid: {size_mm: [50, 40, 30]}", "  {}", `f:3:3: shape: needs one of ellipsoid, superellipsoid, box, cylinder, cone, crescent, mesh`},
		{"short vector", "item", "[50, 40, 30]", "[50, 40]", `f:3:24: shape.ellipsoid.size_mm: is a list of 2 entries; it must be a list of 3 numbers, as [0, 0, 0]`},
		{"bad vector", "item", "[50, 40, 30]", "[50, 40, -3]", `f:3:33: shape.ellipsoid.size_mm.3: -3 must be above 0`},
		{"list for a group", "item", "  ellipsoid: {size_mm: [50, 40, 30]}", "  - 5", `f:3:3: shape: is a list of 1 entry; it must be lines of field: value with ellipsoid, superellipsoid, box, cylinder, cone, crescent, mesh`},
		{"solid refuses", "item", "ellipsoid: {size_mm: [50, 40, 30]}", "box: {size_mm: [50, 40, 30], rounding_mm: 20}", `f:3:8: shape.box: a rounding of 0.02 m does not fit a box whose smallest half length is 0.015 m`},
		{"given twice", "item", "mass_g: 50", "mass_g: 50\nmass_g: 51", `f:5:1: mass_g: is given a second time; the first is in line 4`},
		{"not a quaternion", "item", "mass_g: 50", "mass_g: 50\nquaternion: [1, 1, 0, 0]", `f:5:13: quaternion: has the length 1.41421; a unit quaternion has the length 1`},
		{"turn twice", "item", "mass_g: 50", "mass_g: 50\nquaternion: [1, 0, 0, 0]\nturn: [{about: z, by_deg: 4}]", `f:6:7: turn: is given beside quaternion; keep one of them`},
		{"no word", "strategy", "do: lift", "do: raise", `f:5:10: phases.2.do: raise is none of move, press, slide, close, comply, lift, hold, shake, adjust`},
		{"text as number", "strategy", "name: S", "name: 5", `f:1:7: name: 5 is a text here; put it in quotes`},
		{"truth", "hand", "slides: true", "slides: yes", `f:14:17: fingers.2.joints.1.slides: yes must be true or false`},
		{"phase needs", "strategy", ", distance_mm: 100", "", `f:5:5: phases.2: a lift needs distance_mm`},
		{"phase can not use", "strategy", "to: grasp", "to: grasp, frequency_Hz: 2", `f:4:41: phases.1.frequency_Hz: means nothing to a move`},
		{"strategy's own check", "strategy", "  - {do: lift, distance_mm: 100}", "  - {do: hold, time_s: 1}", `f:1:1: no phase lifts, so nothing can be held`},
		{"empty list", "strategy", "phases:\n  - {do: move, to: grasp}\n  - {do: lift, distance_mm: 100}", "phases: []", `f:3:9: phases: has 0 entries; at least 1 are needed`},
		{"corners", "setting", "high_mm: [20, 20, 30]", "high_mm: [20, 5, 30]", `f:6:19: blocks.1.high_mm.2: must lie above that of low_mm, 10`},
		{"arms", "hand", "arms_mm: [8, 6]", "arms_mm: [8, 6, 4]", `f:21:36: cords.1.over.1.arms_mm: has 3 numbers; a-1 has 2 joints: give one for each`},
		{"finger's name", "hand", "fingers: [a]", "fingers: [b]", `f:21:23: cords.1.over.1.fingers.1: no finger has the name "b"; there are a-1, a-2, rail`},
		{"motor's name", "hand", "over: [{fin", "motor: n\n    over: [{fin", `f:21:12: cords.1.motor: no motor has the name "n"`},
		{"arm of a slide", "hand", "fingers: [a], arms_mm: [8, 6]", "fingers: [rail], arms_mm: [8]", `f:21:12: cords.1.over.1: rail/1 slides; it has per_mm, and no arm`},
		{"slide of a hinge", "hand", "arms_mm: [8, 6]", "per_mm: [1, 0]", `f:21:12: cords.1.over.1: a-1/base turns; it has arms_mm, and nothing per mm`},
		{"over twice", "hand", "arms_mm: [8, 6]}]", "arms_mm: [8, 6]}, {fingers: [a-2], arms_mm: [0, 3]}]", `f:21:45: cords.1.over.2: the cord runs over a-2/tip already`},
		{"cord of nothing", "hand", "arms_mm: [8, 6]", "arms_mm: [0, 0]", `f:21:5: cords.1: moves no joint; give it over or by_joint`},
		{"joint of many", "hand", "over: [{fingers: [a], arms_mm: [8, 6]}]", "by_joint: [{joint: base, arm_mm: 8}]", `f:21:24: cords.1.by_joint.1.joint: 2 joints have the name "base": write a-1/base, or another of them`},
		{"joint of none", "hand", "over: [{fingers: [a], arms_mm: [8, 6]}]", "by_joint: [{joint: top, arm_mm: 8}]", `f:21:24: cords.1.by_joint.1.joint: no joint has the name "top"; joints are named as finger/joint`},
		{"spring of a slide", "hand", "stiffness_N_per_mm: 1\n        link", "stiffness_Nm_per_rad: 1\n        link", `f:16:31: fingers.2.joints.1.stiffness_Nm_per_rad: does not suit a joint that slides`},
		{"slide without axis", "hand", "        axis: [-1, 0, 0]\n", "", `f:14:9: fingers.2.joints.1: slides and needs an axis`},
		{"axis", "hand", "axis: [-1, 0, 0]", "axis: [0, 0, 0]", `f:15:15: fingers.2.joints.1.axis: has no direction; one of the numbers must not be 0`},
		{"stops of the other kind", "hand", "stiffness_N_per_mm: 1\n        link", "stops: {lower_deg: 0, upper_deg: 9, stiffness_Nm_per_rad: 5}\n        link", `f:16:16: fingers.2.joints.1.stops: a joint that turns has lower_deg, upper_deg and stiffness_Nm_per_rad, one that slides lower_mm, upper_mm and stiffness_N_per_mm; this one slides`},
		{"stops crossed", "hand", "stiffness_N_per_mm: 1\n        link", "stops: {lower_mm: 5, upper_mm: 1, stiffness_N_per_mm: 5}\n        link", `f:16:16: fingers.2.joints.1.stops: the lower stop lies above the upper one`},
		{"no mass", "hand", ", mass_g: 6}\nmotors", "}\nmotors", `f:12:5: fingers.2: joint 1: neither it nor any link after it has mass, so nothing resists its acceleration; give the link a mass or the joint an armature`},
		{"joints and segments", "hand", "  - name: rail\n", "  - name: rail\n    segments: {count: 2, length_mm: 9, radius_mm: 3, mass_g: 2, bend_closing_Nmm2: 5}\n", `f:15:7: fingers.2.joints: is given beside segments; keep one of them`},
		{"anchor", "item", "name: I", "name: &a I", `f:1:7: anchors, aliases and merge keys are not taken; write the values out, or name a file`},
		{"tag", "item", "name: I", "name: !!str I", `f:1:7: tags are not taken; write the value without`},
		{"broken", "item", "[50, 40, 30]", "[50, 40, 30", `f:3:35: is not YAML: ',' or ']' must be specified`},
		{"colon", "item", "name: I", "name: a: b", `f:1:7: is not YAML: mapping value is not allowed in this context (a text with a colon and a blank in it needs quotes)`},
		{"tab", "item", "  ellipsoid", "\tellipsoid", "f:3:1: is not YAML: found character '\t' that cannot start any token"},
		{"second document", "item", "mass_g: 50\n", "mass_g: 50\n---\nname: J\n", `f:6:1: holds a second document; keep one in a file`},
	} {
		t.Run(c.name, func(t *testing.T) {
			good := goods[c.format]
			if strings.Count(good, c.old) != 1 {
				t.Fatalf("%q stands %d times in the good file", c.old, strings.Count(good, c.old))
			}
			files := fstest.MapFS{"f": {Data: []byte(strings.Replace(good, c.old, c.new, 1))}, "good": {Data: []byte(good)}}
			if _, err := readAny(files, "good", c.format); err != nil {
				t.Fatal(err)
			}
			value, err := readAny(files, "f", c.format)
			var faults *Errors
			if !errors.As(err, &faults) || domain.KindOf(err) != domain.KindInvalid {
				t.Fatalf("got %v and %v", value, err)
			}
			lines := make([]string, len(faults.Faults))
			for i, f := range faults.Faults {
				lines[i] = f.String()
			}
			if got := strings.Join(lines, "\n"); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
			// What the decoder refuses by its fields, a program that knows only the schema refuses as well.
			src := &source{file: "f", at: map[string]position{}, errors: &Errors{}}
			if tree := src.parse(files["f"].Data); tree == nil || c.name == "hexadecimal" || c.name == "beyond numbers" {
				return // not YAML, or a number that JSON writes otherwise
			}
			if src.fill(files["f"].Data, reflect.New(formats[c.format].of).Elem()) {
				return
			}
			doc, err := asJSON(files["f"].Data)
			if err != nil {
				return // it has no JSON
			}
			if err := compiled(t, c.format).Validate(doc); err == nil {
				t.Error("the schema takes it")
			}
		})
	}
}

// Faults of a scene are told in the files in which they are.
func TestErrorsOfFilesThatAreNamed(t *testing.T) {
	scene := func(hand string) string {
		return "name: S\nhand: " + hand + "\nitem: ../items/i.yaml\nsetting:\n  name: T\n  support: {friction: 0.6, stiffness_N_per_mm: 4}\nstrategy: s.yaml\n"
	}
	files := fstest.MapFS{
		"here/good":        {Data: []byte(scene("hand.yaml"))},
		"here/absent":      {Data: []byte(scene("none.yaml"))},
		"here/outside":     {Data: []byte(scene("../../hand.yaml"))},
		"here/rooted":      {Data: []byte(scene("/hand.yaml"))},
		"here/faulty":      {Data: []byte(scene("faulty.yaml"))},
		"here/hand.yaml":   {Data: []byte(goodHand)},
		"here/faulty.yaml": {Data: []byte(strings.ReplaceAll(goodHand, "radius_mm: 7", "radius_mm: -7"))},
		"here/s.yaml":      {Data: []byte(goodStrategy)},
		"items/i.yaml":     {Data: []byte(goodItem)},
	}
	s, err := ReadScene(files, "here/good")
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"here/good", "here/hand.yaml", "items/i.yaml", "here/s.yaml"}; !slices.Equal(s.Files, want) {
		t.Errorf("read %v, want %v", s.Files, want)
	}
	for name, want := range map[string]string{
		"here/absent":  `here/absent:2:7: hand: "here/none.yaml" is not there`,
		"here/outside": `here/outside:2:7: hand: names "../hand.yaml", which lies outside of the folder that files are read from`,
		"here/rooted":  `here/rooted:2:7: hand: "/hand.yaml" must be a path from the folder of this file`,
		"here/faulty":  "here/faulty.yaml:11:42: fingers.1.joints.2.link.radius_mm: -7 must lie between 0 and 200|here/faulty.yaml:17:42: fingers.2.joints.1.link.radius_mm: -7 must lie between 0 and 200",
		"here/none":    `here/none: "here/none" is not there`,
		"../here":      `../here: names "../here", which lies outside of the folder that files are read from`,
	} {
		_, err := ReadScene(files, name)
		var faults *Errors
		if !errors.As(err, &faults) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		lines := make([]string, len(faults.Faults))
		for i, f := range faults.Faults {
			lines[i] = f.String()
		}
		if got := strings.Join(lines, "|"); got != want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, want)
		}
	}
}

// What is given without end ends: the first faults are kept, the others counted; large and deep texts are refused at once.
func TestErrorsAreBounded(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"many":   {"name: I\n" + strings.Repeat("mass_g: 5\n", 1000), "and 949 more"},
		"large":  {"name: I\nnote: " + strings.Repeat("x", mostBytes), "larger than 1 MiB"},
		"deep":   {"name: " + strings.Repeat("[", 100000), "too deep"},
		"nested": {strings.Repeat("- ", 100000), "too deep"},
		"stairs": {stairs(1100), "too deep"},
		"utf":    {"name: \xff", "not UTF-8"},
		"empty":  {"# nothing\n", "is empty"},
	} {
		_, err := ReadItem(fstest.MapFS{"f": {Data: []byte(c.text)}}, "f")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func stairs(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", min(i, 900)) + "a:\n")
	}
	return b.String()
}
