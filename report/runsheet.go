package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"holdfast/domain"
)

// RunSheet is a study's plan on paper, for the bench without a screen: each run with its numbers, a drawing of the
// orientation and a box for each outcome.
type RunSheet struct {
	Study    domain.Study
	Runs     []domain.PlannedRun // in the order in which they are to be run
	Hands    map[domain.ID]domain.Hand
	Items    map[domain.ID]domain.Item
	Settings map[domain.ID]domain.Setting
	Printed  time.Time // printed on the sheet, and the document's date of creation
}

// Sheet measures, mm.
const (
	pageW, pageH   = 210.0, 297.0
	sheetLeft      = 12.0
	sheetRight     = pageW - 12
	sheetTop       = 13.0
	sheetBottom    = pageH - 14
	runRowHeight   = 13.4
	sheetViewSide  = 12.6
	outcomeColumnW = 7.2
)

// sheetColumns are the left edges of the run table's columns.
var sheetColumns = struct{ order, above, side, strategy, angles, closing, offset, outcome float64 }{
	sheetLeft, sheetLeft + 10, sheetLeft + 23.5, sheetLeft + 38, sheetLeft + 62, sheetLeft + 88, sheetLeft + 106, sheetLeft + 121.5,
}

// ticked are the outcomes with a box of their own.
var ticked = []domain.Outcome{domain.OutcomeHeld, domain.OutcomeDropped, domain.OutcomeSlipped, domain.OutcomeMissed,
	domain.OutcomePushed, domain.OutcomeDamaged, domain.OutcomeStopped, domain.OutcomeVoid}

// PDF writes the run sheet. It fails on a run that names a hand, item or setting that was not given.
func (r *RunSheet) PDF() ([]byte, error) {
	for i := range r.Runs {
		run := &r.Runs[i]
		_, hand := r.Hands[run.Hand]
		_, item := r.Items[run.Item]
		_, setting := r.Settings[run.Setting]
		if !hand || !item || !setting {
			return nil, domain.Errorf(domain.KindInvalid, "run %d can not be printed: its hand %q, item %q or setting %q is not known",
				run.Order, run.Hand, run.Item, run.Setting)
		}
	}
	p := &sheetPrinter{sheet: r, pdf: newPDF("Run sheet: "+r.Study.Name, r.Printed)}
	p.pdf.AliasNbPages("{pages}")
	p.firstPage()
	block, plot := 0, 0
	for i := range r.Runs {
		run := &r.Runs[i]
		need := runRowHeight
		newBlock, newPlot := run.Block != block, run.WholePlot != plot
		if newBlock {
			need += 22
		}
		if newPlot || newBlock {
			need += 7
		}
		fresh := p.y+need > sheetBottom
		if fresh {
			p.newPage()
		}
		if newBlock || fresh {
			p.blockHead(run.Block, !newBlock)
		}
		if newPlot || newBlock || fresh {
			p.plotHead(run)
		}
		block, plot = run.Block, run.WholePlot
		p.row(run)
	}
	if len(r.Runs) == 0 {
		p.text(sheetLeft, p.y+6, "This study has no plan yet.", 3.4, false, Ink)
	}
	p.flush()
	return finishPDF(p.pdf)
}

// sheetPrinter keeps the place on the page.
type sheetPrinter struct {
	sheet *RunSheet
	pdf   *fpdf.Fpdf
	scene *Scene
	y     float64 // mm, the next free place
	page  int
}

func (p *sheetPrinter) text(x, y float64, text string, size float64, bold bool, c Colour) {
	if bold {
		p.scene.Bold(x, y, text, size, c, Start)
		return
	}
	p.scene.Text(x, y, text, size, c, Start)
}

// flush draws what is on the present page.
func (p *sheetPrinter) flush() {
	if p.scene != nil {
		drawPDF(p.pdf, p.scene)
		p.scene = nil
	}
}

func (p *sheetPrinter) newPage() {
	p.flush()
	p.page++
	p.pdf.AddPage()
	s := &Scene{W: pageW, H: pageH}
	p.scene = s
	s.Draw(rect(sheetLeft, sheetTop-5, sheetRight-sheetLeft, 0.9), fill(Accent))
	s.Bold(sheetLeft, sheetTop+1.5, "Run sheet", 3.4, Accent, Start)
	s.Text(sheetLeft+19, sheetTop+1.5, shortened(p.sheet.Study.Name, 3.4, 110, false), 3.4, Ink, Start)
	if p.sheet.Study.Invented {
		w := textWidth("Invented data", 2.9, true) + 3
		drawTag(s, sheetRight-w, sheetTop+1.5, "Invented data", 2.9)
	}
	foot := sheetBottom + 6.5
	s.Draw(rect(sheetLeft, sheetBottom+2.6, sheetRight-sheetLeft, 0.2), fill(Line))
	s.Text(sheetLeft, foot, fmt.Sprintf("Seed %d  ·  printed %s", p.sheet.Study.Seed, p.sheet.Printed.UTC().Format("2006-01-02 15:04 UTC")), 2.6, Soft, Start)
	// The number of pages is known only at the end; the document fills it in, so it is set outside the scene.
	p.pdf.SetFont("Helvetica", "", 2.6*pointsPerMM)
	p.pdf.SetTextColor(int(Soft.R), int(Soft.G), int(Soft.B))
	p.pdf.Text(sheetRight-17, foot, fmt.Sprintf("page %d of {pages}", p.page))
	p.y = sheetTop + 5
}

// firstPage tells what the study is about and lists the cautions before any run.
func (p *sheetPrinter) firstPage() {
	p.newPage()
	st := &p.sheet.Study
	p.y += 5
	p.text(sheetLeft, p.y, shortened(st.Name, 6, sheetRight-sheetLeft, true), 6, true, Ink)
	p.y += 6
	for _, line := range wrap(st.Question, 3.4, sheetRight-sheetLeft, false) {
		p.text(sheetLeft, p.y, line, 3.4, false, Soft)
		p.y += 4.6
	}
	references := 0
	blocks := map[int]bool{}
	for i := range p.sheet.Runs {
		blocks[p.sheet.Runs[i].Block] = true
		if p.sheet.Runs[i].Reference {
			references++
		}
	}
	p.text(sheetLeft, p.y, fmt.Sprintf("%d runs in %d blocks, %d of them reference runs  ·  target %s  ·  seed %d",
		len(p.sheet.Runs), len(blocks), references, percent(st.Target), st.Seed), 3, false, Ink)
	p.y += 4
	p.cautions()
	p.y += 2
	for _, line := range wrap("Keep the order: it is random on purpose. Tick one box a run. Angles: tilt from straight down, azimuth around the vertical from +x, "+
		"roll about the approach direction. The green finger is the one on the hand's +x side. The drawings show the hand from above (left) and from the side (right). "+
		"Closing is the share of the hand's range. Offset: put the item this far from where the robot is told it lies. "+
		"A void run needs a reason in the note and is run again.", 2.8, sheetRight-sheetLeft, false) {
		p.text(sheetLeft, p.y, line, 2.8, false, Soft)
		p.y += 3.8
	}
	p.y += 1
}

func (p *sheetPrinter) cautions() {
	var list []string
	seen := map[string]bool{}
	for i := range p.sheet.Runs {
		hand, item := p.sheet.Hands[p.sheet.Runs[i].Hand], p.sheet.Items[p.sheet.Runs[i].Item]
		for _, c := range domain.Cautions("sheet", &hand, &item) {
			if !seen[c] {
				seen[c] = true
				list = append(list, c)
			}
		}
	}
	if len(list) == 0 {
		return
	}
	p.y = drawCautions(p.scene, sheetLeft, p.y, sheetRight-sheetLeft, list, 2.9) + 3
}

func (p *sheetPrinter) blockHead(block int, continued bool) {
	title := fmt.Sprintf("Block %d", block)
	if continued {
		title += ", continued"
	}
	p.y += 4
	p.text(sheetLeft, p.y+2, title, 4.2, true, Accent)
	p.text(sheetLeft+62, p.y+2, "Date", 2.8, false, Soft)
	p.scene.Draw(rect(sheetLeft+70, p.y+2.4, 34, 0.15), fill(Soft))
	p.text(sheetLeft+108, p.y+2, "Operator", 2.8, false, Soft)
	p.scene.Draw(rect(sheetLeft+121, p.y+2.4, sheetRight-sheetLeft-121, 0.15), fill(Soft))
	p.y += 5
	c := &sheetColumns
	head := func(x float64, lines ...string) {
		for i, l := range lines {
			p.text(x, p.y+3+float64(i)*3, l, 2.5, true, Soft)
		}
	}
	head(c.order, "Run")
	head(c.above, "From above, from the side")
	head(c.strategy+6, "Strategy")
	head(c.angles, "Tilt", "Azimuth, roll")
	head(c.closing, "Closing")
	head(c.offset, "Offset x, y")
	for i, o := range ticked {
		x := c.outcome + (float64(i)+0.5)*outcomeColumnW
		p.scene.Text(x, p.y+3+float64(i%2)*3, string(o), 2.3, Ink, Middle)
	}
	p.y += 7.4
	p.scene.Draw(rect(sheetLeft, p.y, sheetRight-sheetLeft, 0.3), fill(Ink))
}

// plotHead tells what stays put until the next head: hand, item and setting.
func (p *sheetPrinter) plotHead(run *domain.PlannedRun) {
	hand, item, setting := p.sheet.Hands[run.Hand], p.sheet.Items[run.Item], p.sheet.Settings[run.Setting]
	p.scene.Draw(rect(sheetLeft, p.y+0.4, sheetRight-sheetLeft, 5.6), fill(Shade))
	x := sheetLeft + 1.5
	for _, pair := range [][2]string{{"Hand", hand.Name}, {"Item", item.Name}, {"Setting", setting.Name}} {
		p.text(x, p.y+4.3, pair[0], 2.6, false, Soft)
		x += textWidth(pair[0], 2.6, false) + 1.5
		name := shortened(pair[1], 3, 48, true)
		p.text(x, p.y+4.3, name, 3, true, Ink)
		x += textWidth(name, 3, true) + 5
	}
	p.y += 6.2
}

func (p *sheetPrinter) row(run *domain.PlannedRun) {
	s, c, y := p.scene, &sheetColumns, p.y
	const degree = 180 / math.Pi
	hand, item, setting := p.sheet.Hands[run.Hand], p.sheet.Items[run.Item], p.sheet.Settings[run.Setting]
	s.Bold(c.order+7.2, y+runRowHeight/2+1.2, fmt.Sprint(run.Order), 3.4, Ink, End)
	pose := &Pose{Rotation: run.Planned, Hand: &hand, Item: &item, Setting: &setting}
	s.Place(pose.FromAbove(30), c.above, y+0.4, sheetViewSide/30)
	s.Place(pose.FromSide(30), c.side, y+0.4, sheetViewSide/30)
	text := func(x, dy float64, t string, bold bool) { p.text(x, y+dy, t, 3, bold, Ink) }
	text(c.strategy, 5.4, string(run.Strategy), false)
	switch {
	case run.Reference:
		p.text(c.strategy, y+9.4, "reference run", 2.6, true, Accent)
	default:
		p.text(c.strategy, y+9.4, fmt.Sprintf("cell %d, repeat %d", run.Cell, run.Replicate), 2.6, false, Soft)
	}
	a := run.Planned.Approach()
	text(c.angles, 5.4, angle(a.Tilt*degree), true)
	text(c.angles, 9.8, angle(a.Azimuth*degree)+", "+angle(a.Roll*degree), false)
	text(c.closing, 5.4, fmt.Sprintf("%.2f", run.Closing), true)
	if hand.CommandFull > 0 {
		text(c.closing, 9.8, fmt.Sprintf("%.4g %s", run.Closing*hand.CommandFull, hand.CommandUnit), false)
	}
	if run.Offset == [3]float64{} {
		p.text(c.offset, y+5.4, "none", 3, false, Soft)
	} else {
		text(c.offset, 5.4, signed(run.Offset[0]*1e3)+" mm", false)
		text(c.offset, 9.8, signed(run.Offset[1]*1e3)+" mm", false)
	}
	const box = 4.4
	for i := range ticked {
		x := c.outcome + (float64(i)+0.5)*outcomeColumnW - box/2
		s.Draw(rect(x, y+1.8, box, box), both(Paper, Ink, 0.25))
	}
	s.Text(c.outcome, y+11.4, "Note", 2.3, Soft, Start)
	s.Draw(rect(c.outcome+6, y+11.7, sheetRight-c.outcome-6, 0.12), fill(Line))
	p.y += runRowHeight
	s.Draw(rect(sheetLeft, p.y, sheetRight-sheetLeft, 0.12), fill(Line))
}

// angle writes degrees with a tenth where there is one.
func angle(v float64) string {
	v = math.Round(v*10)/10 + 0
	return minus(fmt.Sprintf("%g°", v))
}

func signed(mm float64) string {
	mm = math.Round(mm*10)/10 + 0
	return minus(fmt.Sprintf("%+.1f", mm))
}

// minus writes the sign that is as wide as a plus.
func minus(number string) string { return strings.Replace(number, "-", "−", 1) }
