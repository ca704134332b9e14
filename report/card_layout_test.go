package report

import (
	"strings"
	"testing"

	"holdfast/domain"
)

// Names of the longest length that people and files may give keep every line of text on the sheet.
func TestCardTextStaysOnTheSheet(t *testing.T) {
	long := someCard()
	long.ID = domain.ID("card-" + strings.Repeat("w", 59))
	long.Proof.ID = domain.ID("proof-" + strings.Repeat("w", 58))
	long.Proof.SignedBy, long.ReleasedBy = strings.Repeat("Wilhelmina ", 12), strings.Repeat("Wilhelmina ", 12)
	wide := cardSheet(long)
	wide.Parts.Item.Name, wide.Parts.Hand.Name, wide.Parts.Setting.Name = strings.Repeat("Wm", 60), strings.Repeat("Wm", 60), strings.Repeat("Wm", 60)
	wide.StudyName = strings.Repeat("Wm", 60)
	short := withdrawn(someCard())
	short.Proof = nil
	for name, sheet := range map[string]*CardSheet{"usual": cardSheet(someCard()), "wide": wide, "withdrawn": cardSheet(short)} {
		page, _ := sheet.page(3, false)
		texts := 0
		for _, o := range page.ops {
			if o.kind != opText {
				continue
			}
			texts++
			left, width := o.at.X, textWidth(o.text, o.size, o.bold)
			switch o.anchor {
			case Middle:
				left -= width / 2
			case End:
				left -= width
			}
			if left < cardLeft-1 || left+width > cardRight+1 {
				t.Errorf("%s: %q reaches from %.1f to %.1f mm; the sheet has room from %.0f to %.0f", name, o.text, left, left+width, cardLeft, cardRight)
			}
		}
		if texts < 40 {
			t.Errorf("%s: only %d texts were looked at", name, texts)
		}
	}
}
