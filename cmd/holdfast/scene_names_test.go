package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Faults of a scene name its files as the command line does, not from the root of the disk.
func TestFaultsNameFilesAsTyped(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	if err := os.MkdirAll("with space/é", 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"x.yaml", "with space/é/x.yaml", filepath.Join(dir, "x.yaml")} {
		if err := os.WriteFile(name, []byte("name: X\nitem: items/none.yaml\nclosing: 0,8\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := readScene(name)
		if err == nil {
			t.Fatal("a scene without a hand is read")
		}
		for _, want := range []string{name + ": ", name + ":3:10: closing: 0,8"} {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v lacks %q", name, err, want)
			}
		}
		if strings.HasPrefix(err.Error(), strings.TrimPrefix(dir, "/")) {
			t.Errorf("%s: told from the root: %v", name, err)
		}
	}
}
