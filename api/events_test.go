package api_test

import (
	"bufio"
	"context"
	"net/http"
	"strings"
	"testing"
	"time"
)

// listen opens the event stream and returns its lines.
func (b *bench) listen(query string) <-chan string {
	b.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	req, err := http.NewRequestWithContext(ctx, "GET", b.server.URL+"/api/v1/events"+query, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "text/event-stream" {
		b.t.Fatalf("status %d, %s", res.StatusCode, res.Header.Get("Content-Type"))
	}
	lines := make(chan string, 100)
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(res.Body); s.Scan(); {
			lines <- s.Text()
		}
	}()
	b.t.Cleanup(func() {
		stop()
		res.Body.Close()
	})
	return lines
}

func nextData(t *testing.T, lines <-chan string, event string) string {
	t.Helper()
	seen := ""
	for {
		select {
		case line, ok := <-lines:
			if !ok {
				t.Fatal("the stream ended")
			}
			if name, is := strings.CutPrefix(line, "event: "); is {
				seen = name
			}
			if data, is := strings.CutPrefix(line, "data: "); is {
				if seen != event {
					t.Fatalf("event %s with %s, want %s", seen, data, event)
				}
				return data
			}
		case <-time.After(10 * time.Second):
			t.Fatal("no event came")
		}
	}
}

func TestEventsReachOpenPages(t *testing.T) {
	b := stocked(t)
	all, mine, other := b.listen(""), b.listen("?study=rolls"), b.listen("?study=else")
	for _, lines := range []<-chan string{all, mine, other} {
		nextData(t, lines, "hello")
	}
	b.run(scenario{name: "log", method: "POST", url: "/studies/rolls/trials", status: 201, events: []string{"study", "trials"},
		body: `{"key":"k","strategy":"free","orientation":{"tilt_deg":10,"azimuth_deg":0,"roll_deg":0},"outcome":"held"}`})
	b.run(scenario{name: "hand", method: "POST", url: "/hands", status: 201, events: []string{"hand"}, body: strings.Replace(handBody, "Trefoil", "Quatrefoil", 1)})
	for _, lines := range []<-chan string{all, mine} {
		for _, want := range []string{`{"topic":"study","study":"rolls","id":"rolls"}`, `{"topic":"trials","study":"rolls","id":"T1"}`, `{"topic":"hand","study":"","id":"quatrefoil"}`} {
			if got := nextData(t, lines, "change"); got != want {
				t.Errorf("got %s, want %s", got, want)
			}
		}
	}
	// Another study's page hears of the catalogue only.
	if got := nextData(t, other, "change"); !strings.Contains(got, `"hand"`) {
		t.Errorf("a page of another study got %s", got)
	}
}
