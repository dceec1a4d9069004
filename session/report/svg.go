package report

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"
)

// Widths of the pictures in their own units, one of which is a CSS pixel when
// a picture is shown at natural size: a phone's column, and a page's.
const (
	columnWidth = 340.0
	pageWidth   = 700.0
)

// svg writes one inline picture. Shapes take a class of the sheet's style and
// finite numbers; every text is escaped. A picture carries its title and
// description for those who do not see it.
type svg struct{ b strings.Builder }

func newSVG(id, title, desc string, width, height float64) *svg {
	s, class := &svg{}, "full"
	if width == columnWidth {
		class = "half"
	}
	fmt.Fprintf(&s.b, `<svg class="%s" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t %s-d">`, class, coordinate(width), coordinate(height), id, id)
	fmt.Fprintf(&s.b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`, id, escaped(title), id, escaped(desc))
	return s
}

func (s *svg) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&s.b, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, coordinate(x1), coordinate(y1), coordinate(x2), coordinate(y2))
}

func (s *svg) rect(class string, x, y, width, height, round float64) {
	fmt.Fprintf(&s.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s" rx="%s"/>`,
		class, coordinate(x), coordinate(y), coordinate(max(0, width)), coordinate(max(0, height)), coordinate(round))
}

func (s *svg) circle(class string, x, y, r float64) {
	fmt.Fprintf(&s.b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, coordinate(x), coordinate(y), coordinate(r))
}

// polyline joins x,y pairs; polygon closes them.
func (s *svg) polyline(class string, xy ...float64) { s.points("polyline", class, xy) }
func (s *svg) polygon(class string, xy ...float64)  { s.points("polygon", class, xy) }

func (s *svg) points(element, class string, xy []float64) {
	fmt.Fprintf(&s.b, `<%s class="%s" points="`, element, class)
	for i := 0; i+1 < len(xy); i += 2 {
		if i > 0 {
			s.b.WriteByte(' ')
		}
		s.b.WriteString(coordinate(xy[i]) + "," + coordinate(xy[i+1]))
	}
	s.b.WriteString(`"/>`)
}

func (s *svg) text(class string, x, y float64, text string) {
	fmt.Fprintf(&s.b, `<text class="%s" x="%s" y="%s">%s</text>`, class, coordinate(x), coordinate(y), escaped(text))
}

// done closes the picture. Its parts are escaped one by one above.
func (s *svg) done() template.HTML { return template.HTML(s.b.String() + `</svg>`) }

func escaped(text string) string { return template.HTMLEscapeString(plain(text)) }

func coordinate(f float64) string {
	s := strconv.FormatFloat(f, 'f', 1, 64)
	return strings.TrimSuffix(s, ".0")
}
