package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

func TestHandsetOfACatalogue(t *testing.T) {
	dir := t.TempDir()
	path, out := filepath.Join(dir, "catalogue.csv"), filepath.Join(dir, "items.csv")
	write := func(rows ...string) {
		t.Helper()
		text := strings.Join(catalogueColumns, ",") + "\n" + strings.Join(rows, "\n") + "\n"
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("roll,Trefoil,200,199,0.9,-2,40,5,3,1", "egg,Trefoil,40,38,0.9,-2,30,8,3,1", "egg,Tweezer,200,198,0.9,-2,30,8,4,1", "éclair,Tweezer,20,12,0.9,-2,35,6,4,1")
	code, text, stderr := program(t, "handset", path, "--max-hands", "2", "--json", "--out", out)
	var r handsetReport
	if err := json.Unmarshal([]byte(text), &r); code != 0 || err != nil {
		t.Fatalf("code %d, %v, %s", code, err, stderr)
	}
	// Trefoil alone: roll 37.6 − 3, egg and éclair by hand 8 + 6; with Tweezer the egg wins about 19.6 for 4 + 2.
	if !reflect.DeepEqual(r.Hands, []string{"Trefoil", "Tweezer"}) || r.People != 19 || r.Items[2].Reason != "no hand meets the target with the confidence" || r.Evaluated == 0 || len(r.Trials) == 0 {
		t.Errorf("%+v", r)
	}
	if raw, err := os.ReadFile(out); err != nil || !strings.Contains(string(raw), "egg,Tweezer,automated\n") {
		t.Errorf("%v %s", err, raw)
	}
	if code, text, _ = program(t, "handset", path, "--max-hands", "1"); code != 0 || !strings.HasPrefix(text, "Best set: Trefoil. Net ") {
		t.Errorf("code %d, %s", code, text)
	}
	for words, rows := range map[string][]string{
		"line 2, column trials: \"many\" is not a number":      {"roll,Trefoil,many,1,0.9,0,1,0,0,0"},
		"line 2, column held: \"1.5\" is not a count":          {"roll,Trefoil,2,1.5,0.9,0,1,0,0,0"},
		"line 3: target or person_net_per_hour of roll differ": {"roll,Trefoil,2,1,0.9,0,1,0,0,0", "roll,Tweezer,2,1,0.8,0,1,0,0,0"},
		"line 3: the costs of Trefoil differ":                  {"roll,Trefoil,2,1,0.9,0,1,0,0,0", "egg,Trefoil,2,1,0.9,0,1,0,1,0"},
		"line 3: roll with Trefoil stands there twice":         {"roll,Trefoil,2,1,0.9,0,1,0,0,0", "roll,Trefoil,2,1,0.9,0,1,0,0,0"},
		"3 of 2 held":        {"roll,Trefoil,2,3,0.9,0,1,0,0,0"},
		"has the target 1.5": {"roll,Trefoil,2,1,1.5,0,1,0,0,0"},
		"line 2: item and hand must both be given":                    {",Trefoil,2,1,0.9,0,1,0,0,0"},
		"the catalogue has 0 items; 1 to 2000 can be asked for":       {},
		"line 2, column net_per_hour_if_held: \"\" is not a number":   {"roll,Trefoil,2,1,0.9,0,,0,0,0"},
		"item \"roll\" with hand \"Trefoil\": 1 of 2 held, worth NaN": {"roll,Trefoil,2,1,0.9,NaN,1,0,0,0"},
	} {
		write(rows...)
		if code, out, stderr := program(t, "handset", path, "--max-hands", "2"); code != 2 || !strings.Contains(stderr, words) || out != "" {
			t.Errorf("%v: code %d, %s", rows, code, stderr)
		}
	}
	if code, _, stderr := program(t, "handset", "--max-hands", "2"); code != 2 || !strings.Contains(stderr, "name a file") {
		t.Errorf("code %d, %s", code, stderr)
	}
}
