package report

import (
	"fmt"
	"strconv"
	"strings"
)

// SVG writes the scene as a stand-alone SVG 1.1 document with its title and description as the text alternative.
func (s *Scene) SVG() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-labelledby="t d">`+"\n",
		short(s.W), short(s.H), short(s.W), short(s.H))
	fmt.Fprintf(&b, "<title id=\"t\">%s</title>\n<desc id=\"d\">%s</desc>\n", escape(s.Title), escape(s.Desc))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="%s"/>`+"\n", short(s.W), short(s.H), hex(Paper))
	b.WriteString(`<g font-family="Helvetica, Arial, 'Nimbus Sans', sans-serif" stroke-linecap="round" stroke-linejoin="round" style="font-variant-numeric: tabular-nums">` + "\n")
	clips := 0
	for i := range s.ops {
		o := &s.ops[i]
		switch o.kind {
		case opClip:
			clips++
			fmt.Fprintf(&b, `<clipPath id="c%d"><path d="%s"/></clipPath><g clip-path="url(#c%d)">`+"\n", clips, pathData(o.path), clips)
		case opUnclip:
			b.WriteString("</g>\n")
		case opPath:
			b.WriteString(`<path d="` + pathData(o.path) + `"` + paint(o.style) + "/>\n")
		case opText:
			weight := ""
			if o.bold {
				weight = ` font-weight="bold"`
			}
			if o.anchor != Start {
				weight += ` text-anchor="` + [...]string{"start", "middle", "end"}[o.anchor] + `"`
			}
			fmt.Fprintf(&b, `<text x="%s" y="%s" font-size="%s" fill="%s"%s>%s</text>`+"\n",
				short(o.at.X), short(o.at.Y), short(o.size), hex(o.colour), weight, escape(o.text))
		}
	}
	b.WriteString("</g>\n</svg>\n")
	return []byte(b.String())
}

// short writes a length to a thousandth of a millimetre.
func short(v float64) string {
	t := strconv.FormatFloat(v, 'f', 3, 64)
	t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	if t == "-0" || t == "" {
		return "0"
	}
	return t
}

func hex(c Colour) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func escape(text string) string {
	return strings.Map(func(r rune) rune {
		if (r < 32 && r != '\n' && r != '\t') || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;").Replace(strings.ToValidUTF8(text, "?")))
}

func pathData(path []seg) string {
	var b strings.Builder
	point := func(p Point) string { return short(p.X) + " " + short(p.Y) }
	for i := range path {
		g := &path[i]
		switch g.kind {
		case segMove:
			b.WriteString("M" + point(g.p[0]))
		case segLine:
			b.WriteString("L" + point(g.p[0]))
		case segCurve:
			b.WriteString("C" + point(g.p[0]) + " " + point(g.p[1]) + " " + point(g.p[2]))
		case segClose:
			b.WriteString("Z")
		}
	}
	return b.String()
}

func paint(st Style) string {
	a := ` fill="none"`
	if st.Fill != nil {
		a = ` fill="` + hex(*st.Fill) + `" fill-rule="evenodd"`
	}
	if st.Stroke != nil {
		a += ` stroke="` + hex(*st.Stroke) + `" stroke-width="` + short(st.Width) + `"`
		if st.Dash > 0 {
			a += ` stroke-dasharray="` + short(st.Dash) + `"`
		}
	}
	return a
}
