package chart

import (
	"image/color"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sizes in px. No text is smaller than textSize.
const (
	titleSize   = 14
	textSize    = 11.5
	lineWidth   = 2
	hairline    = 1
	margin      = 10
	gap         = 6
	dotRadius   = 3.5
	narrowBelow = 520 // px; below it words are shortened and marks set closer
	lineHeight  = 16
	closeLine   = 13 // between lines of one name
)

// sheet is one picture while it is drawn. Its canvas shrinks as title and legend take their part.
type sheet struct {
	c      draw.Canvas
	colour *scheme
	narrow bool
	bare   bool
}

func newSheet(canvas vg.Canvas, o Options) *sheet {
	s := &sheet{c: draw.NewCanvas(canvas, vg.Length(o.Width), vg.Length(o.Height)), colour: schemeFor(o.Dark), narrow: o.Width < narrowBelow,
		bare: o.Bare}
	return s
}

// style is the style of text in a role's colour.
func (s *sheet) style(r role, x text.XAlignment, y text.YAlignment) draw.TextStyle {
	return draw.TextStyle{Color: s.colour[r], Font: font.Font{Typeface: typeface, Size: textSize}, XAlign: x, YAlign: y,
		Handler: lettering{text.Plain{Fonts: faces}}}
}

func (s *sheet) line(r role, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: s.colour[r], Width: width, Dashes: dashes}
}

// paper fills the whole sheet.
func (s *sheet) paper() {
	s.c.SetColor(s.colour[paper])
	s.c.Fill(s.c.Rectangle.Path())
}

// title writes the title, in as many lines as it needs.
func (s *sheet) title(title string) {
	style := s.style(ink, draw.XLeft, draw.YTop)
	style.Font.Size, style.Font.Weight = titleSize, xfont.WeightBold
	s.c = draw.Crop(s.c, margin, -margin, margin, -margin)
	const titleLine = 19
	for _, line := range wrap(style, title, s.c.Size().X) {
		s.c.FillText(style, vg.Point{X: s.c.Min.X, Y: s.c.Max.Y}, line)
		s.c.Max.Y -= titleLine
	}
	s.c.Max.Y -= 2
}

// nothing says that there is nothing to show.
func (s *sheet) nothing() {
	s.c.FillText(s.style(quiet, draw.XCenter, draw.YCenter), s.c.Center(), word("nothing"))
}

// mark draws a group of one class; in an SVG it can be told from others, and its words show when pointed at.
func (s *sheet) mark(class, title string, draw func()) {
	svg := asSVG(s.c.Canvas)
	if svg != nil {
		svg.open(class, title)
	}
	draw()
	if svg != nil {
		svg.close()
	}
}

// write writes a text at a place.
func (s *sheet) write(r role, x text.XAlignment, y text.YAlignment, at vg.Point, txt string) {
	s.c.FillText(s.style(r, x, y), at, txt)
}

// fill fills a polygon.
func (s *sheet) fill(colour color.Color, points ...vg.Point) {
	s.c.FillPolygon(colour, points)
}

// box fills an upright rectangle between two corners.
func (s *sheet) box(colour color.Color, x0, y0, x1, y1 vg.Length) {
	s.fill(colour, vg.Point{X: x0, Y: y0}, vg.Point{X: x1, Y: y0}, vg.Point{X: x1, Y: y1}, vg.Point{X: x0, Y: y1})
}

// dot draws a filled circle with a rim of paper, so that it shows on a line.
func (s *sheet) dot(r role, at vg.Point) {
	for _, ring := range [...]struct {
		r      role
		radius vg.Length
	}{{paper, dotRadius + 1.5}, {r, dotRadius}} {
		s.c.SetColor(s.colour[ring.r])
		s.c.Fill(disc(at, ring.radius))
	}
}

// halo writes a text on an underlay of paper, so that it can be read across lines.
func (s *sheet) halo(r role, x text.XAlignment, y text.YAlignment, at vg.Point, txt string) {
	style := s.style(r, x, y)
	w, h := style.Width(txt), style.Height(txt)
	left, low := at.X+vg.Length(x)*w, at.Y+vg.Length(y)*h
	s.box(s.colour[paper], left-2, low, left+w+2, low+h)
	s.c.FillText(style, at, txt)
}

// entry is one line of a legend.
type entry struct {
	role   role
	kind   entryKind
	dashes []vg.Length
	words  string
}

type entryKind int

const (
	asLine entryKind = iota
	asBox
	asDot
)

// legend writes the entries side by side above the picture, in as many lines as they need.
func (s *sheet) legend(entries ...entry) {
	if len(entries) == 0 {
		return
	}
	style := s.style(ink, draw.XLeft, draw.YCenter)
	const key, keyGap, between = 16, 5, 16
	x, y := s.c.Min.X, s.c.Max.Y-lineHeight/2
	for _, e := range entries {
		words := fit(style, e.words, s.c.Size().X-key-keyGap)
		width := key + keyGap + style.Width(words)
		if x > s.c.Min.X && x+width > s.c.Max.X {
			x, y = s.c.Min.X, y-lineHeight
		}
		s.mark("legend", "", func() {
			switch e.kind {
			case asBox:
				s.box(s.colour[e.role], x+2, y-5, x+key-2, y+5)
			case asDot:
				s.dot(e.role, vg.Point{X: x + key/2, Y: y})
			default:
				s.c.StrokeLine2(s.line(e.role, lineWidth, e.dashes...), x, y, x+key, y)
			}
			s.c.FillText(style, vg.Point{X: x + key + keyGap, Y: y}, words)
		})
		x += width + between
	}
	s.c.Max.Y = y - lineHeight/2 - gap
}

// wrap breaks a text into lines no wider than width, at spaces.
func wrap(style draw.TextStyle, s string, width vg.Length) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && style.Width(next) > width {
			lines = append(lines, fit(style, line, width))
			next = word
		}
		line = next
	}
	return append(lines, fit(style, line, width))
}

// fit shortens a text to a width; what is cut off shows as an ellipsis, and the table has the whole.
func fit(style draw.TextStyle, s string, width vg.Length) string {
	const longest = 400 // no picture has room for more
	runes := []rune(s)
	if len(runes) > longest {
		runes = runes[:longest]
		s = string(runes) + "…"
	}
	if style.Width(s) <= width {
		return s
	}
	for low, high := 0, len(runes); ; {
		if high-low <= 1 {
			return strings.TrimRight(string(runes[:low]), " ") + "…"
		}
		if mid := (low + high) / 2; style.Width(string(runes[:mid])+"…") <= width {
			low = mid
		} else {
			high = mid
		}
	}
}

// beside are names as labels of rows, in one line or two, so that each fits a width and its share of the height.
func (s *sheet) beside(names []string, width vg.Length) []string {
	style := s.style(quiet, 0, 0)
	room := s.c.Size().Y / vg.Length(max(1, len(names)))
	out := make([]string, len(names))
	for i, n := range names {
		if lines := wrap(style, n, width); len(lines) == 2 && room > 2*closeLine {
			out[i] = lines[0] + "\n" + lines[1]
		} else {
			out[i] = fit(style, n, width)
		}
	}
	return out
}

// disc is the path of a circle.
func disc(at vg.Point, radius vg.Length) vg.Path { return sector(at, 0, radius, 0, 360) }

// widest is how wide a scale's labels are beside an upright axis.
func (s *sheet) widest(sc scale) vg.Length {
	widest, _ := sc.extents(s.style(quiet, draw.XRight, draw.YCenter))
	return widest
}
