package holdfast_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"sort"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the table of imports in ARCHITECTURE.md")

// levels says on which level a room lies; the longest matching prefix counts. A room may import rooms of lower levels.
var levels = map[string]int{
	"quantity": 0, "orient": 0, "numeric": 0, "readings": 0, "reference": 0,
	"domain": 1, "faults": 1,
	"statistics": 2, "mechanics": 2, "signals": 2, "damage": 2, "demonstrate": 2, "handtest": 2, "people": 2,
	"workflow": 3,
	"store":    4, "bus": 4, "device": 4, "api": 4, "report": 4, "tables": 4, "scenes": 4, "web": 4, "examples": 4, "replay": 4,
	"cmd": 5, "bench": 5,
}

// reaches narrows what the rooms of level 4 may see below them, and holds the few steps sideways.
var reaches = []struct{ from, to, why string }{
	{"statistics", "statistics/proportion", "intervals serve every branch of statistics"},
	{"statistics", "statistics/successmap", "the map that is there is asked by what decides with it, never fitted a second way"},
	{"statistics", "statistics/additive", "what needs more than the map asks the one model of all that was varied"},
	{"statistics/propose", "statistics/decide", "trials are placed for the region that would be chosen, by one notion of a region"},
	{"mechanics/trialsim", "mechanics/hand", "a simulated trial moves a hand"},
	{"mechanics/trialsim", "mechanics/motion", "and an item, in contact"},
	{"mechanics/trialsim", "mechanics/shape", "found by how near shapes are"},
	{"mechanics/trialsim", "mechanics/grasp", "and says what the last contacts can hold"},
	{"mechanics/unknowns", "mechanics/hand", "another stiffness is another chain of joints"},
	{"mechanics/unknowns", "mechanics/trialsim", "and other values are tried by the one simulation"},
	{"mechanics/firsttouch", "mechanics/trialsim", "what a first touch says is learnt and tried in the one simulation"},
	{"mechanics/firsttouch", "statistics/guide", "the rule from touch to move is fitted in one place, from whatever knows the right move"},
	{"mechanics/firsttouch", "statistics/compare", "its gain is a comparison of pairs like any other"},
	{"mechanics/benchfit", "mechanics/hand", "a bench says what of a finger's chain is otherwise"},
	{"mechanics/benchfit", "mechanics/trialsim", "and gives back the whole hand"},
	{"signals/touch", "signals", "touch is told from spectra and their shapes"},
	{"signals/touch", "statistics/proportion", "a share that is told right has the one notion of an exact interval"},
	{"signals/detect", "signals", "a slip is told in a band of frequencies"},
	{"signals/strips", "signals/calibrate", "a strip is read backwards by its curve, a finger's shape followed in one place"},
	{"handtest", "signals/calibrate", "drift over cycles is a line read backwards, by one notion of its limits"},
	{"replay", "mechanics/trialsim", "a replay is the film of a simulated trial"},
	{"replay", "mechanics/shape", "with the outlines of its items"},
	{"scenes", "mechanics", "files of hands, items and settings are read into what the simulation takes"},
	{"examples/fernhollow", "examples", "the demonstration's trials are simulated from the files that ship"},
	{"examples/fernhollow", "scenes", "read by the one reader"},
	{"examples/fernhollow", "mechanics/trialsim", "and tried by the one simulation"},
	{"store/sqlite", "store", "the shared conformance suite and schema"},
	{"faults", "domain", "a list of faults is one of the kinds of error"},
	{"bench", "bench/picks", "what programs that compare picks share"},
	{"bus/embedded", "bus", "the shared conformance suite"},
	{"api", "tables", "a table sent over HTTP is read by the same code as a file"},
	{"api", "report", "downloads are drawn by the same code as files"},
	{"api", "scenes", "strategies that were learnt and hands that were fitted are downloaded as the files that commands write"},
	{"api", "web", "the page is served beside the contract"},
	{"bench", "bench/truths", "the truths that the bars are measured on are invented in one place"},
	{"bench", "bench/peerscene", "picks are measured on the scene that they are checked on"},
	{"bench", "bench/measure", "whole processes are timed and bars are told in one way"},
	{"report", "tables", "a card's table is written by the same code"},
}

// workflowSeers are the rooms of level 4 that may call the use cases.
var workflowSeers = []string{"api", "examples"}

func inside(room, prefix string) bool { return room == prefix || strings.HasPrefix(room, prefix+"/") }

func levelOf(room string) (int, bool) {
	best, level := -1, 0
	for prefix, l := range levels {
		if inside(room, prefix) && len(prefix) > best {
			best, level = len(prefix), l
		}
	}
	return level, best >= 0
}

// forbidden says why an import breaks the rules, or returns "".
func forbidden(from, to string) string {
	lf, ok := levelOf(from)
	if !ok {
		return fmt.Sprintf("%s is on no level; add it to the table of levels", from)
	}
	lt, ok := levelOf(to)
	if !ok {
		return fmt.Sprintf("%s is on no level; add it to the table of levels", to)
	}
	for _, r := range reaches {
		if inside(from, r.from) && inside(to, r.to) {
			return ""
		}
	}
	if lt >= lf {
		return fmt.Sprintf("%s (level %d) must not import %s (level %d)", from, lf, to, lt)
	}
	if lf == 4 && lt > 1 {
		if to == "workflow" || lt == 2 {
			for _, s := range workflowSeers {
				if inside(from, s) {
					return ""
				}
			}
		}
		return fmt.Sprintf("%s may import domain and below only, not %s", from, to)
	}
	return ""
}

// outside lists what rooms of levels 0 to 2 must not touch: database, network, operating system, wall clock, global randomness.
var outside = []string{"database/sql", "net", "net/http", "os", "os/exec", "math/rand", "syscall"}

type listed struct {
	ImportPath string
	Imports    []string
}

func realImports(t *testing.T) map[string]listed {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "./...").Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Fatalf("go list: %v\n%s", err, exit.Stderr)
		}
		t.Fatal(err)
	}
	rooms := map[string]listed{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return rooms
		} else if err != nil {
			t.Fatal(err)
		}
		if room := strings.TrimPrefix(p.ImportPath, "holdfast/"); room != p.ImportPath {
			rooms[room] = p
		}
	}
}

func TestImportsPointOneWay(t *testing.T) {
	rooms := realImports(t)
	if len(rooms) < 5 {
		t.Fatalf("only %d rooms found", len(rooms))
	}
	for room, p := range rooms {
		level, _ := levelOf(room)
		for _, imp := range p.Imports {
			if to := strings.TrimPrefix(imp, "holdfast/"); to != imp {
				if why := forbidden(room, to); why != "" {
					t.Error(why)
				}
				continue
			}
			if level > 2 || room == "orient/internal" {
				continue
			}
			for _, bad := range outside {
				if imp == bad {
					t.Errorf("%s (level %d) must not import %s", room, level, imp)
				}
			}
		}
	}
}

// The gate itself must bite.
func TestForbiddenBites(t *testing.T) {
	for _, c := range []struct{ from, to string }{
		{"domain", "store/sqlite"}, {"workflow", "api"}, {"report", "workflow"}, {"orient", "domain"},
		{"store/sqlite", "workflow"}, {"statistics/design", "statistics/decide"}, {"nowhere", "domain"},
	} {
		if forbidden(c.from, c.to) == "" {
			t.Errorf("%s → %s passes, but must not", c.from, c.to)
		}
	}
	for _, c := range []struct{ from, to string }{{"api", "workflow"}, {"cmd/holdfast", "store/sqlite"}, {"statistics/design", "orient"}} {
		if why := forbidden(c.from, c.to); why != "" {
			t.Error(why)
		}
	}
}

const (
	tableBegin = "<!-- imports: kept by architecture_test.go, rewrite with: go test . -run Architecture -update -->\n"
	tableEnd   = "<!-- end of imports -->"
)

func TestArchitectureTableIsTrue(t *testing.T) {
	rooms := realImports(t)
	names := make([]string, 0, len(rooms))
	for room := range rooms {
		names = append(names, room)
	}
	sort.Slice(names, func(i, j int) bool {
		a, _ := levelOf(names[i])
		b, _ := levelOf(names[j])
		if a != b {
			return a > b
		}
		return names[i] < names[j]
	})
	var table strings.Builder
	table.WriteString("\n| level | room | imports |\n| --- | --- | --- |\n")
	for _, room := range names {
		var imports []string
		for _, imp := range rooms[room].Imports {
			if to := strings.TrimPrefix(imp, "holdfast/"); to != imp {
				imports = append(imports, "`"+to+"`")
			}
		}
		sort.Strings(imports)
		level, _ := levelOf(room)
		text := strings.Join(imports, ", ")
		if text == "" {
			text = "nothing of ours"
		}
		fmt.Fprintf(&table, "| %d | `%s` | %s |\n", level, room, text)
	}
	table.WriteString("\n")

	file, err := os.ReadFile("ARCHITECTURE.md")
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(file), tableBegin)
	old, after, ok2 := strings.Cut(rest, tableEnd)
	if !ok || !ok2 {
		t.Fatal("ARCHITECTURE.md has lost the marks around its table of imports")
	}
	if *update {
		if err := os.WriteFile("ARCHITECTURE.md", []byte(before+tableBegin+table.String()+tableEnd+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if old != table.String() {
		t.Errorf("the table of imports in ARCHITECTURE.md is not what the code imports; run: go test . -run Architecture -update\nwant:%s", table.String())
	}
	for room := range rooms {
		if top := strings.SplitN(room, "/", 2)[0]; !strings.Contains(before, path.Base(top)) {
			t.Errorf("the picture in ARCHITECTURE.md does not show %s", top)
		}
	}
}
