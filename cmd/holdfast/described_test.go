package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/api"
)

// The program's own hands are there beside those of a folder, which come first and win.
func TestDescribedHands(t *testing.T) {
	shipped, err := withShipped(nil)
	if err != nil || len(shipped) != 5 {
		t.Fatalf("%d hands: %v", len(shipped), err)
	}
	dir := t.TempDir()
	text, err := os.ReadFile("../../examples/scenes/hands/jaws-two.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "air-four.yaml"), text, 0o600); err != nil {
		t.Fatal(err)
	}
	own, err := describedHands(dir)
	if err != nil || len(own) != 1 {
		t.Fatalf("%d hands: %v", len(own), err)
	}
	all, err := withShipped(own)
	if err != nil || len(all) != 5 || all[0].ID != "air-four" || len(all[0].Hand.Fingers) != 2 {
		t.Errorf("%d hands, the first %s: %v", len(all), all[0].ID, err)
	}
	if none, err := describedHands(""); none != nil || err != nil {
		t.Errorf("no folder: %v, %v", none, err)
	}
	for name, want := range map[string]string{"empty": "no hand descriptions", "broken": "broken.yaml"} {
		dir := filepath.Join(t.TempDir(), name)
		if err := os.Mkdir(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		if name == "broken" {
			if err := os.WriteFile(filepath.Join(dir, "broken.yaml"), []byte("fingers: {"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		var hands []api.DescribedHand
		if hands, err = describedHands(dir); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %d hands, %v", name, len(hands), err)
		}
	}
}
