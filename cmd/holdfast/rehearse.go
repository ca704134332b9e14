package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
	"holdfast/replay"
	"holdfast/scenes"
)

type rehearseCommand struct {
	Server      string `default:"http://127.0.0.1:8420" placeholder:"URL" help:"Where holdfast serve answers."`
	Study       string `required:"" placeholder:"ID" help:"The study whose open runs are carried out in simulation."`
	Scenes      string `required:"" placeholder:"DIR" help:"Folder with hands/ID.yaml, items/ID.yaml, settings/ID.yaml and strategies/KIND.yaml, named as in the lab; see docs/scenes.md."`
	Rig         string `default:"simulated-bench" placeholder:"NAME" help:"Name under which runs are taken and trials are logged."`
	Workers     int    `default:"1" placeholder:"W" help:"How many runs are carried out at once."`
	Most        int    `placeholder:"N" help:"Stop after so many trials; by default go on until nothing is left."`
	Seed        uint64 `default:"1" help:"Decides sizes and masses of the items."`
	ReplayEvery int    `default:"1" placeholder:"K" help:"Store the replay of every K-th run with its trial; 0: none."`
}

// Run carries out the study's open runs in simulation, over the interface that a robot uses.
func (c *rehearseCommand) Run(env *environment) error {
	if c.Workers < 1 || c.Workers > 64 || c.ReplayEvery < 0 || c.Most < 0 {
		return usageError{fmt.Errorf("--workers is %d, --most %d, --replay-every %d; 1 to 64 workers, the others not negative", c.Workers, c.Most, c.ReplayEvery)}
	}
	if _, err := os.Stat(c.Scenes); err != nil {
		return inputError{fileError(c.Scenes, err)}
	}
	r := &rehearsal{server: strings.TrimSuffix(c.Server, "/"), study: c.Study, files: os.DirFS(c.Scenes), rig: c.Rig, most: int64(c.Most), seed: c.Seed, every: c.ReplayEvery}
	r.tell = func(order int, outcome, reason string, left int) {
		fmt.Fprintf(env.stdout, "run %d: %s, %s (%d left)\n", order, outcome, reason, left)
	}
	err := r.run(env.ctx, c.Workers)
	fmt.Fprintf(env.stdout, "%d trials logged.\n", r.done.Load())
	return badInput(err)
}

// rehearsal takes planned runs from a server, simulates them and logs the trials.
type rehearsal struct {
	server, study, rig string
	files              fs.FS
	alias              map[string]string // the lab's names that files call otherwise
	most               int64
	seed               uint64
	every              int
	rest               time.Duration // after each run, so that others get their turn
	keep               int           // runs that are left to people
	tell               func(order int, outcome, reason string, left int)

	done   atomic.Int64
	mu     sync.Mutex // of what is told
	client http.Client
}

// job is what the server hands out; see the interface's contract.
type job struct {
	api.NextRun
	none bool
}

func (r *rehearsal) run(ctx context.Context, workers int) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			if err := r.work(ctx, fmt.Sprintf("%s-%d", r.rig, w+1)); err != nil {
				cancel(err)
			}
		})
	}
	wg.Wait()
	return context.Cause(ctx)
}

// work carries out run after run as one rig. A run that the planner finds impossible stays open, because its trial is void; the
// rig keeps it under a name of its own until the end, so that it is not handed out for ever.
func (r *rehearsal) work(ctx context.Context, rig string) error {
	benches := map[string]*benchOf{}
	holders, impossible := []string{rig}, map[int]bool{}
	defer func() {
		// Runs that were taken and not carried out are given back; else their leases end by themselves.
		for _, h := range holders {
			_, _ = r.call(context.WithoutCancel(ctx), http.MethodDelete, "/next?holder="+url.QueryEscape(h), "", nil, nil)
		}
	}()
	for ctx.Err() == nil && (r.most == 0 || r.done.Load() < r.most) {
		j, err := r.next(ctx, holders[len(holders)-1])
		if err != nil || j.none || j.Left <= r.keep {
			return err
		}
		if impossible[j.Run.Order] {
			holders = append(holders, fmt.Sprintf("%s-passed-%d", rig, len(holders)))
			continue
		}
		outcome, err := r.carryOut(ctx, rig, benches, &j)
		if err != nil {
			return err
		}
		impossible[j.Run.Order] = outcome == trialsim.Void
		select {
		case <-ctx.Done():
		case <-time.After(r.rest):
		}
	}
	return ctx.Err()
}

func (r *rehearsal) next(ctx context.Context, holder string) (j job, err error) {
	status, err := r.call(ctx, http.MethodGet, "/next?holder="+url.QueryEscape(holder), "", nil, &j.NextRun)
	j.none = status == http.StatusNotFound
	if j.none && r.done.Load() > 0 {
		err = nil
	}
	return j, err
}

// benchOf is a simulated bench for the runs with one hand, item, setting and strategy.
type benchOf struct {
	scene trialsim.Scene
	bench *trialsim.Bench
}

// bench reads what the run needs, or takes what was read before.
func (r *rehearsal) bench(benches map[string]*benchOf, run *api.PlannedRun) (*benchOf, error) {
	key := strings.Join([]string{run.Hand, run.Item, run.Setting, run.Strategy}, "\x00")
	if b := benches[key]; b != nil {
		return b, nil
	}
	scene, err := scenes.ReadCondition(r.files, r.alias, domain.Condition{Hand: domain.ID(run.Hand), Item: domain.ID(run.Item), Setting: domain.ID(run.Setting), Strategy: domain.StrategyKind(run.Strategy)})
	if err != nil {
		return nil, err
	}
	b := &benchOf{scene: *scene}
	b.scene.Name = r.study
	if b.bench, err = trialsim.NewBench(&b.scene, 0); err != nil {
		return nil, err
	}
	benches[key] = b
	return b, nil
}

func (r *rehearsal) carryOut(ctx context.Context, rig string, benches map[string]*benchOf, j *job) (trialsim.Outcome, error) {
	run := &j.Run
	b, err := r.bench(benches, run)
	if err != nil {
		return "", err
	}
	q := &run.Orientation
	if q.QW == nil || q.QX == nil || q.QY == nil || q.QZ == nil {
		return "", fmt.Errorf("run %d comes without a quaternion", run.Order)
	}
	a := trialsim.Attempt{
		Orientation: orient.Rotation{W: *q.QW, X: *q.QX, Y: *q.QY, Z: *q.QZ}, Closing: run.Closing, Seed: r.seed, Number: run.Order,
		Offset: [2]float64{run.OffsetXMM / 1e3, run.OffsetYMM / 1e3},
	}
	var camera *trialsim.Camera
	var watch trialsim.Observer
	if r.every > 0 && run.Order%r.every == 0 {
		camera = trialsim.NewCamera(filmRate)
		watch = camera
	}
	result, err := b.bench.Run(a, watch)
	if err != nil {
		return "", err
	}
	// The same run simulated again gives the same trial, and the key says so.
	trial := api.NewTrial{Key: fmt.Sprintf("rehearsed-%d-%d", r.seed, run.Order), Order: run.Order, Operator: rig, Outcome: string(result.Outcome), Note: "simulated: " + result.Reason}
	if result.Outcome == trialsim.Void {
		trial.VoidReason, trial.Note = result.Reason, "simulated"
	} else {
		trial.PeakForceN, trial.DurationS = &result.PeakForce, &result.Seconds
	}
	if camera != nil && len(camera.Film.Frames) > 0 {
		sha, err := r.store(ctx, replay.Of(&b.scene, a, result, camera.Film), run.Order)
		if err != nil {
			return "", err
		}
		trial.Recordings = []string{sha}
	}
	body, err := json.Marshal(trial)
	if err != nil {
		return "", err
	}
	var logged struct{ Counted string }
	if _, err := r.call(ctx, http.MethodPost, "/trials", "application/json", body, &logged); err != nil {
		return "", err
	}
	r.done.Add(1)
	if r.tell != nil {
		r.mu.Lock()
		defer r.mu.Unlock()
		r.tell(run.Order, logged.Counted, result.Reason, j.Left-1)
	}
	return result.Outcome, nil
}

// store puts a replay beside the record and returns its digest.
func (r *rehearsal) store(ctx context.Context, t *replay.Trial, order int) (string, error) {
	var text bytes.Buffer
	if err := replay.Write(&text, t); err != nil {
		return "", err
	}
	var stored struct{ SHA256 string }
	name := fmt.Sprintf("%s-run-%d.replay.json.gz", r.study, order)
	_, err := r.request(ctx, http.MethodPost, r.server+"/api/v1/recordings?name="+url.QueryEscape(name), replay.MediaType, text.Bytes(), &stored)
	return stored.SHA256, err
}

func (r *rehearsal) call(ctx context.Context, method, at, kind string, body []byte, into any) (int, error) {
	return r.request(ctx, method, r.server+"/api/v1/studies/"+url.PathEscape(r.study)+at, kind, body, into)
}

// request sends one request; one without an answer is sent again, which is safe: a rig that asks again gets the same run, and a
// trial's key is known again.
func (r *rehearsal) request(ctx context.Context, method, address, kind string, body []byte, into any) (status int, err error) {
	const retries = 4
	for wait := 200 * time.Millisecond; ; wait *= 2 {
		status, err = r.once(ctx, method, address, kind, body, into)
		var refused serverRefused
		if err == nil || errors.As(err, &refused) && status < 500 || wait > 200*time.Millisecond<<retries || ctx.Err() != nil {
			return status, err
		}
		select {
		case <-ctx.Done():
			return status, ctx.Err()
		case <-time.After(wait):
		}
	}
}

// serverRefused is what a server says when it does not do what it is asked.
type serverRefused struct{ detail string }

func (e serverRefused) Error() string { return "the server refused: " + e.detail }

func (r *rehearsal) once(ctx context.Context, method, address, kind string, body []byte, into any) (int, error) {
	req, err := http.NewRequestWithContext(ctx, method, address, bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	if kind != "" {
		req.Header.Set("Content-Type", kind)
	}
	answer, err := r.client.Do(req)
	if err != nil {
		return 0, err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(io.LimitReader(answer.Body, 16<<20))
	if err != nil {
		return 0, err
	}
	if answer.StatusCode/100 != 2 {
		var problem struct{ Detail string }
		if json.Unmarshal(text, &problem) != nil || problem.Detail == "" {
			problem.Detail = answer.Status
		}
		return answer.StatusCode, serverRefused{problem.Detail}
	}
	if into != nil && len(text) > 0 {
		return answer.StatusCode, json.Unmarshal(text, into)
	}
	return answer.StatusCode, nil
}
