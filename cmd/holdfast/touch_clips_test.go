package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever a file of labels holds, it is refused in words or read into rows that are whole and name files of the folder.
func FuzzParseLabels(f *testing.F) {
	for _, text := range []string{
		"file,zone,position_mm,session,specimen\na.wav,tip,40.5,monday,1\n",
		"\ufefffile,session,specimen,object,pressure_kpa,day\nb.wav,1,1,roll,30,1\n",
		"file,session,specimen\n../a.wav,1,1\n",
		"file,session,specimen,position_mm\na.wav,1,1,nan\n",
		"file,file,session,specimen\n",
		"file,session,specimen\n\"a\nb.wav\",1,1\nc.wav,1\n",
		"", "\n",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := parseLabels("labels.csv", strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "labels.csv") {
				t.Errorf("%q does not say which file", err)
			}
			return
		}
		n := len(l.file)
		if n == 0 || len(l.zone) != n || len(l.session) != n || len(l.specimen) != n || len(l.positionMm) != n || len(l.line) != n {
			t.Fatalf("rows are not whole: %+v", l)
		}
		for i, name := range l.file {
			if !filepath.IsLocal(name) || l.session[i] == "" || l.specimen[i] == "" || l.line[i] < 2 || math.Abs(l.positionMm[i]) > 10_000 {
				t.Errorf("row %d: %q %q %q, line %d, %g mm", i+1, name, l.session[i], l.specimen[i], l.line[i], l.positionMm[i])
			}
		}
		for _, v := range l.varied {
			if len(v.Level) != n {
				t.Errorf("%s has %d of %d levels", v.Name, len(v.Level), n)
			}
		}
	})
}
