package fernhollow

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/workflow"
)

// AirHand is the described air hand: the demonstration's bench knows two of its numbers otherwise than its description does.
const AirHand domain.ID = "air-four"

// airFour is in the catalogue with its numbers, its sounds and one simulated study.
func airFour() domain.Hand {
	return domain.Hand{
		ID: AirHand, Name: "Anemone, four air fingers", Actuation: domain.ActuationAir, Fingers: 4, RollFold: 4, Mirror: true,
		FingerLength: 0.092, PalmDiameter: 0.068, OpeningMax: 0.121, CommandUnit: "kPa", CommandFull: 80, ForceMax: 12,
		FoodContact: true, Note: "Invented; described for simulation. Its bench records feed the description.",
	}
}

// rows writes CSV: a header and lines that are formatted alike.
type rows struct {
	strings.Builder
	r *rand.Rand
}

func newRows(hand domain.ID, purpose, header string) *rows {
	w := &rows{r: numeric.Stream(Seed, "numbers "+string(hand)+" "+purpose)}
	w.WriteString(header + "\n")
	return w
}

func (w *rows) add(format string, values ...any) { fmt.Fprintf(&w.Builder, format+"\n", values...) }

// around draws near a value, sd as a share of it.
func (w *rows) around(value, sd float64) float64 { return value * (1 + sd*w.r.NormFloat64()) }

// fillNumbers puts bench records of three hands into the lab: invented readings around an invented truth.
func fillNumbers(ctx context.Context, lab *workflow.Lab) error {
	air := airFour()
	air.Invented = true
	if _, err := lab.SaveHand(ctx, air); err != nil {
		return err
	}
	day := time.Date(2026, 2, 16, 0, 0, 0, 0, time.UTC)
	list := numbersOfAir()
	list = append(list, numbersOfTendons()...)
	list = append(list, numbersOfTweezer()...)
	n := map[domain.ID]int{}
	for _, r := range list {
		n[r.Hand]++
		r.Key = fmt.Sprintf("demonstration-%d", n[r.Hand])
		r.Day, r.Invented = day.AddDate(0, 0, n[r.Hand]/4), true
		r.Recorded = r.Day.Add(15 * time.Hour)
		if r.Operator == "" {
			r.Operator = "Invented operator A"
		}
		if _, _, err := lab.KeepBench(ctx, r); err != nil {
			return fmt.Errorf("%s of %s: %w", r.Test, r.Hand, err)
		}
	}
	loose, err := lab.Bench(ctx, "tweezer")
	if err != nil {
		return err
	}
	for _, e := range loose {
		if e.Note == looseCell {
			if _, err := lab.VoidBench(ctx, "tweezer", e.ID, "Invented operator B", "The load cell was loose; measured again the same day."); err != nil {
				return err
			}
		}
	}
	return nil
}

// looseCell marks the record that is made void.
const looseCell = "Invented. Taken before the load cell was found loose."

func benchRecord(hand domain.ID, test, variant string, w *rows) domain.BenchRecord {
	return domain.BenchRecord{Hand: hand, Test: test, Variant: variant, Table: w.String(), Specimen: "piece 1", Note: "Invented."}
}

// numbersOfAir has fingers 7 % softer and 13 % weaker than the description says.
func numbersOfAir() []domain.BenchRecord {
	bend := newRows(AirHand, "bending", "finger,pressure_kPa,angle_deg")
	for _, p := range []float64{10, 20, 30, 40, 50, 60, 70, 80} {
		bend.add("arm-1,%g,%.1f", p, 1.62*p+1.1*bend.r.NormFloat64())
	}
	push := newRows(AirHand, "blocking", "finger,bench,pressure_kPa,force_N")
	for _, p := range []float64{20, 35, 50, 65, 80} {
		for range 2 {
			push.add("arm-1,guided,%g,%.3f", p, .0219*p+.02*push.r.NormFloat64())
		}
	}
	return []domain.BenchRecord{
		benchRecord(AirHand, "closing", "", closings(AirHand, 5, 118, .55, .8, 9)),
		benchRecord(AirHand, "grip", "", grips(AirHand, 5.2, 62, 34)),
		benchRecord(AirHand, "touch", "", touches(AirHand, .11)),
		benchRecord(AirHand, "bending", "", bend), benchRecord(AirHand, "blocking", "", push),
		benchRecord(AirHand, "stiffness", "sideways", loops(AirHand, "sideways", .62, 8, .23)),
		benchRecord(AirHand, "relaxation", "", relaxing(AirHand, 2.1, .9, 3.2)),
		benchRecord(AirHand, "life", "", lives(AirHand, 2.4, 310_000, 330_000, 12)),
		benchRecord(AirHand, "cost", "", costs(AirHand, 640, 280_000, 95)),
	}
}

// tendonTruth is what the demonstration's bench finds of a finger of the described tendon hand: knuckle, middle and tip. Its springs
// are 15 % stiffer than described and its arms 4 % longer; the pushes of its tip are of the same springs.
var tendonTruth = struct {
	arms, stiffness [3]float64 // mm, N mm/rad
	friction, wrap  float64
	stretch         float64 // mm/N, of the finger's own tendon
}{[3]float64{9.4, 7.3, 5.2}, [3]float64{92, 69, 46}, .055, math.Pi, .04}

func numbersOfTendons() []domain.BenchRecord {
	const hand domain.ID = "tendon-five"
	draw := newRows(hand, "tendon", "direction,travel_mm,angle_deg,tension_N")
	turn, travel := 0.0, 0.0 // per newton, rad and mm
	for j, a := range tendonTruth.arms {
		turn += a / tendonTruth.stiffness[j]
		travel += a * a / tendonTruth.stiffness[j]
	}
	for _, way := range []string{"closing", "opening"} {
		lost := math.Exp(tendonTruth.friction * tendonTruth.wrap)
		for k := range 13 {
			share := float64(k) / 12
			if way == "opening" {
				share, lost = 1-share, math.Exp(-tendonTruth.friction*tendonTruth.wrap)
			}
			angle := 2.1 * share
			tension := angle / turn * lost
			draw.add("%s,%.2f,%.1f,%.2f", way, angle*travel/turn+tendonTruth.stretch*tension+.06*draw.r.NormFloat64(), angle/deg+.4*draw.r.NormFloat64(), math.Abs(tension+.06*draw.r.NormFloat64()))
		}
	}
	push := newRows(hand, "strength", "finger,peak_force_N")
	for _, f := range []struct {
		name  string
		force float64
	}{{"thumb", 9.5}, {"index", 7.8}, {"long", 8.1}, {"ring", 7.4}, {"small", 6.9}} {
		for range 10 {
			push.add("%s,%.2f", f.name, push.around(f.force, .04))
		}
	}
	groups := newRows(hand, "repeatability", "group,operator,value")
	for _, g := range []string{"piece 1", "piece 2", "piece 3", "piece 4", "piece 5"} {
		at := groups.around(16, .035)
		for person, off := range []float64{0, .2, -.25} {
			for range 3 {
				groups.add("%s,Invented operator %c,%.2f", g, 'A'+person, groups.around(at+off, .012))
			}
		}
	}
	repeat := benchRecord(hand, "repeatability", "grip on 60 mm", groups)
	repeat.Unit, repeat.Specimen = "N", "pieces 1 to 5"
	return []domain.BenchRecord{
		benchRecord(hand, "closing", "", closings(hand, 5, 128, .8, .9, 6)),
		benchRecord(hand, "strength", "", push),
		benchRecord(hand, "grip", "", grips(hand, 16, 66, 38)),
		benchRecord(hand, "payload", "", pulls(hand, "sphere of 60 mm, dry", 14, 9, 20)),
		benchRecord(hand, "stiffness", "closing", loops(hand, "closing", .0084, 12, .12)),
		benchRecord(hand, "stiffness", "sideways", loops(hand, "sideways", .27, 10, .2)),
		benchRecord(hand, "tendon", "", draw),
		benchRecord(hand, "relaxation", "", relaxing(hand, 3.4, .5, 1.6)),
		repeat,
		worn(hand, 16, -.0031, 13),
		benchRecord(hand, "life", "", lives(hand, 1.9, 520_000, 600_000, 10)),
	}
}

func numbersOfTweezer() []domain.BenchRecord {
	const hand domain.ID = "tweezer"
	before := benchRecord(hand, "grip", "", grips(hand, 5, 45, 25))
	before.Note, before.Operator = looseCell, "Invented operator B"
	return []domain.BenchRecord{
		benchRecord(hand, "closing", "", closings(hand, 5, 94, .4, .45, 3)),
		before,
		benchRecord(hand, "grip", "", grips(hand, 10.5, 48, 27)),
		benchRecord(hand, "payload", "", pulls(hand, "sphere of 60 mm, dry", 9.5, 7, 14)),
		worn(hand, 10.5, -.0016, 8),
	}
}

// closings writes cycles of a hand that opens to open (mm), closes and opens in so many s, and lags by a gap (mm).
func closings(hand domain.ID, cycles int, open, closing, opening, gap float64) *rows {
	w := newRows(hand, "closing", "cycle,direction,time_s,command,aperture_mm")
	for c := range cycles {
		slow := w.around(1, .02)
		for _, way := range []string{"closing", "opening"} {
			for k := range 21 {
				command, long, lag := float64(k)/20, closing, gap/2
				begin := 0.0
				if way == "opening" {
					command, long, lag, begin = 1-command, opening, -gap/2, closing*slow+.2
				}
				// Slow at both ends, as hands are.
				aperture := open * (1 - command*command*(3-2*command)*.96)
				aperture += lag*math.Sin(math.Pi*command) + .3*w.r.NormFloat64()
				w.add("%d,%s,%.3f,%.2f,%.2f", c+1, way, begin+long*slow*float64(k)/20, command, aperture)
			}
		}
	}
	return w
}

// grips writes five grips on each of five cylinders; the hand grips the diameter best (mm) hardest (N).
func grips(hand domain.ID, hardest, best, width float64) *rows {
	w := newRows(hand, fmt.Sprintf("grip %g", hardest), "diameter_mm,force_N")
	for range 5 {
		for _, d := range []float64{30, 45, 60, 75, 90} {
			u := (d - best) / width
			w.add("%g,%.2f", d, math.Max(.1, w.around(hardest*(1-.35*u*u), .03)))
		}
	}
	return w
}

func touches(hand domain.ID, half float64) *rows {
	w := newRows(hand, "touch", "force_N,told")
	for range 12 {
		for _, f := range []float64{0, .03, .06, .12, .24, .5} {
			told, chance := "no", .02
			if f > 0 {
				chance = 1 / (1 + math.Pow(f/half, -2.6))
			}
			if w.r.Float64() < chance {
				told = "yes"
			}
			w.add("%g,%s", f, told)
		}
	}
	return w
}

// loops writes three cycles of a spring (N/mm) pushed so far (mm), of whose work a share is lost.
func loops(hand domain.ID, direction string, spring, far, lost float64) *rows {
	w := newRows(hand, "stiffness "+direction, "direction,cycle,branch,deflection_mm,force_N")
	for c := range 3 {
		for _, branch := range []string{"loading", "unloading"} {
			for k := range 11 {
				x := far * float64(k) / 10
				// The loop is widest in the middle and closes at both ends.
				width := .75 * lost * spring * far * (x / far) * (1 - x/far)
				if branch == "unloading" {
					x = far * (1 - float64(k)/10)
					width = -.75 * lost * spring * far * (x / far) * (1 - x/far)
				}
				w.add("%s,%d,%s,%.2f,%.4f", direction, c+1, branch, x, spring*x+width*2+.004*spring*far*w.r.NormFloat64())
			}
		}
	}
	return w
}

func relaxing(hand domain.ID, stays, fades, constant float64) *rows {
	w := newRows(hand, "relaxation", "time_s,force_N")
	const ramp = .4
	for k := range 4 {
		w.add("%.2f,%.3f", ramp*float64(k)/4, (stays+fades)*float64(k)/4)
	}
	for k := range 45 {
		t := constant * 5 * float64(k) / 44
		w.add("%.2f,%.4f", ramp+t, stays+fades*math.Exp(-t/constant)*constant/ramp*(1-math.Exp(-ramp/constant))+.012*w.r.NormFloat64())
	}
	return w
}

// pulls writes how an item was pulled out of the hand: slips by a Weibull law (N, shape), pulls that went no further than most.
func pulls(hand domain.ID, setup string, scale, shape, most float64) *rows {
	w := newRows(hand, "payload", "setup,load_N,end")
	for range 15 {
		load, end := weibull(w.r, scale, shape), "slipped"
		if load > most {
			load, end = most, "held"
		}
		w.add("%s,%.2f,%s", strings.ReplaceAll(setup, ",", ""), load, end)
	}
	return w
}

func lives(hand domain.ID, shape, scale, most float64, pieces int) *rows {
	w := newRows(hand, "life", "cycles,end")
	for range pieces {
		cycles, end := weibull(w.r, scale, shape), "failed"
		if cycles > most {
			cycles, end = most, "running"
		}
		w.add("%.0f,%s", cycles, end)
	}
	return w
}

func weibull(r *rand.Rand, scale, shape float64) float64 {
	return scale * math.Pow(r.ExpFloat64(), 1/shape)
}

// worn writes grip force (N) over thousands of cycles, falling by a slope (N a thousand cycles); limit is where the hand is replaced.
func worn(hand domain.ID, fresh, slope, limit float64) domain.BenchRecord {
	w := newRows(hand, "wear", "cycles,value_N")
	for k := range 17 {
		w.add("%d,%.2f", 25_000*k, w.around(fresh+slope*25*float64(k), .012))
	}
	r := benchRecord(hand, "wear", "grip on 60 mm", w)
	r.Unit, r.Limit = "N", &limit
	return r
}

func costs(hand domain.ID, price, life, energy float64) *rows {
	w := newRows(hand, "cost", "hand,price,life_picks,life_low_picks,life_high_picks,upkeep_per_pick,energy_J_per_pick,energy_price_per_kWh")
	for range 6 {
		w.add("%s,%g,%g,%g,%g,%.5f,%.1f,0.24", hand, price, life, .7*life, 1.3*life, w.around(.0011, .18), w.around(energy, .06))
	}
	return w
}
