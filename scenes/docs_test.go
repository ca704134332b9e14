package scenes

import (
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

// Every example in docs/scenes.md is read as it stands there.
func TestGuideIsTrue(t *testing.T) {
	text, err := os.ReadFile("../docs/scenes.md")
	if err != nil {
		t.Fatal(err)
	}
	urdf := strings.NewReplacer(`"palm"`, `"palm_link"`, `name="base"`, `name="index_base"`, `<joint name="thumb"`, `<joint name="thumb_base"`).Replace(twoFingers)
	seen := map[string]int{}
	for _, m := range regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllSubmatch(text, -1) {
		files := fstest.MapFS{"f": {Data: m[1]}, "hand.urdf": {Data: []byte(urdf)}}
		format := "setting"
		for _, c := range []struct{ field, format string }{{"skin:", "hand"}, {"shape:", "item"}, {"phases:", "strategy"}, {"closing:", "scene"}} {
			if strings.Contains(string(m[1]), "\n"+c.field) {
				format = c.format
			}
		}
		seen[format]++
		if format == "scene" {
			for name := range folders {
				if name == "." {
					continue
				}
				for _, file := range regexp.MustCompile(name+`/\S+`).FindAllString(string(m[1]), -1) {
					data, err := os.ReadFile("../examples/scenes/" + file)
					if err != nil {
						t.Fatal(err)
					}
					files[file] = &fstest.MapFile{Data: data}
				}
			}
		}
		if _, err := readAny(files, "f", format); err != nil {
			t.Errorf("%v\n%s", err, m[1])
		}
	}
	for format, n := range map[string]int{"hand": 2, "item": 1, "setting": 1, "strategy": 1, "scene": 1} {
		if seen[format] != n {
			t.Errorf("%d examples of a %s", seen[format], format)
		}
	}
}
