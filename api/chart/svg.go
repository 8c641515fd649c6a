package chart

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// fontFamily names faces of the same widths as the one that is measured with, so that words end where they should.
const fontFamily = "'Liberation Sans',Arial,Helvetica,Arimo,sans-serif"

// svgCanvas is a vg.Canvas that writes small SVG: coordinates are turned before they are written, so that no group is needed
// for it; colours know their role; text keeps its anchor; marks are groups. It leaves out style attributes, which a strict
// content security policy forbids.
type svgCanvas struct {
	buf       bytes.Buffer
	height    float64
	variables bool
	states    []svgState
	anchor    float64 // of the next text: −1 end, −½ middle, 0 start
}

// svgState is what Push keeps. The matrix takes a point to the page, y upwards.
type svgState struct {
	a, b, c, d, e, f float64
	width            float64
	dash             []vg.Length
	dashFrom         vg.Length
	colour           color.Color
}

var _ vg.Canvas = (*svgCanvas)(nil)

func newSVGCanvas(height float64, variables bool) *svgCanvas {
	c := &svgCanvas{height: height, variables: variables, states: []svgState{{a: 1, d: 1}}}
	c.buf.Grow(16 << 10)
	vg.Initialize(c)
	return c
}

func (c *svgCanvas) state() *svgState { return &c.states[len(c.states)-1] }

// SetLineWidth sets the width of lines to come.
func (c *svgCanvas) SetLineWidth(w vg.Length) { c.state().width = w.Points() }

// SetLineDash sets the dashes of lines to come.
func (c *svgCanvas) SetLineDash(dashes []vg.Length, offset vg.Length) {
	c.state().dash, c.state().dashFrom = dashes, offset
}

// SetColor sets the colour of what is to come.
func (c *svgCanvas) SetColor(colour color.Color) { c.state().colour = colour }

// Rotate turns by an angle in radians, counter-clockwise.
func (c *svgCanvas) Rotate(radians float64) {
	sin, cos := math.Sincos(radians)
	s := c.state()
	s.a, s.b, s.c, s.d = s.a*cos+s.c*sin, s.b*cos+s.d*sin, s.c*cos-s.a*sin, s.d*cos-s.b*sin
}

// Translate moves the origin.
func (c *svgCanvas) Translate(pt vg.Point) {
	s := c.state()
	x, y := pt.X.Points(), pt.Y.Points()
	s.e, s.f = s.e+s.a*x+s.c*y, s.f+s.b*x+s.d*y
}

// Scale stretches.
func (c *svgCanvas) Scale(x, y float64) {
	s := c.state()
	s.a, s.b, s.c, s.d = s.a*x, s.b*x, s.c*y, s.d*y
}

// Push keeps the state.
func (c *svgCanvas) Push() { c.states = append(c.states, *c.state()) }

// Pop brings back the state kept last.
func (c *svgCanvas) Pop() { c.states = c.states[:len(c.states)-1] }

// page takes a point to the SVG's page, y downwards.
func (s *svgState) page(x, y, height float64) (float64, float64) {
	return s.a*x + s.c*y + s.e, height - (s.b*x + s.d*y + s.f)
}

func (s *svgState) stretch() float64 { return math.Sqrt(math.Abs(s.a*s.d - s.b*s.c)) }

// Stroke draws along a path.
func (c *svgCanvas) Stroke(p vg.Path) {
	s := c.state()
	if s.width <= 0 || !finite(p) {
		return
	}
	c.buf.WriteString(`<path fill="none" stroke="`)
	c.colour("stroke")
	c.buf.WriteString(`" stroke-width="`)
	c.number(s.width * s.stretch())
	for i, d := range s.dash {
		c.buf.WriteString([2]string{`" stroke-dasharray="`, ","}[min(i, 1)])
		c.number(d.Points() * s.stretch())
	}
	if len(s.dash) > 0 && s.dashFrom != 0 {
		c.buf.WriteString(`" stroke-dashoffset="`)
		c.number(s.dashFrom.Points() * s.stretch())
	}
	c.buf.WriteString(`" stroke-linejoin="round" d="`)
	c.path(p)
	c.buf.WriteString("\"/>\n")
}

// Fill fills a path.
func (c *svgCanvas) Fill(p vg.Path) {
	if !finite(p) {
		return
	}
	c.buf.WriteString(`<path fill="`)
	c.colour("fill")
	c.buf.WriteString(`" d="`)
	c.path(p)
	c.buf.WriteString("\"/>\n")
}

// shortest and shortestBefore are how many bytes a text has whose width is told: where the reader has none of the faces, its own is
// squeezed to fit. What is shorter cannot run into much, but for what ends at the picture's edge.
const shortest, shortestBefore = 4, 3

// FillString writes a text from its start; the anchor set before stays where it is, whatever face the reader has.
func (c *svgCanvas) FillString(face font.Face, pt vg.Point, text string) {
	s := c.state()
	px := pt.X.Points()
	if c.anchor != 0 {
		px -= c.anchor * face.Width(text).Points()
	}
	x, y := s.page(px, pt.Y.Points(), c.height)
	c.buf.WriteString(`<text x="`)
	c.place(x)
	c.buf.WriteString(`" y="`)
	c.place(y)
	if c.anchor != 0 {
		c.buf.WriteString(`" text-anchor="`)
		c.buf.WriteString(map[bool]string{true: "end", false: "middle"}[c.anchor == -1])
	}
	if angle := -math.Atan2(s.b, s.a) * 180 / math.Pi; math.Abs(angle) > 1e-6 {
		c.buf.WriteString(`" transform="rotate(`)
		c.number(angle)
		c.buf.WriteByte(' ')
		c.number(x)
		c.buf.WriteByte(' ')
		c.number(y)
		c.buf.WriteByte(')')
	}
	if size := face.Font.Size.Points() * s.stretch(); size != textSize { // which the whole picture has
		c.buf.WriteString(`" font-size="`)
		c.number(size)
	}
	if len(text) >= shortest || c.anchor == -1 && len(text) >= shortestBefore {
		c.buf.WriteString(`" textLength="`)
		c.place(face.Width(text).Points() * s.stretch())
		c.buf.WriteString(`" lengthAdjust="spacingAndGlyphs`)
	}
	if face.Font.Weight > 0 {
		c.buf.WriteString(`" font-weight="bold`)
	}
	c.buf.WriteString(`" fill="`)
	c.colour("fill")
	c.buf.WriteString(`">`)
	escape(&c.buf, text)
	c.buf.WriteString("</text>\n")
}

// DrawImage draws a picture of pixels.
func (c *svgCanvas) DrawImage(rect vg.Rectangle, img image.Image) {
	var raw bytes.Buffer
	if err := png.Encode(&raw, img); err != nil {
		panic("chart: an image that cannot be encoded")
	}
	x, y := c.state().page(rect.Min.X.Points(), rect.Max.Y.Points(), c.height)
	c.buf.WriteString(`<image x="`)
	c.number(x)
	c.buf.WriteString(`" y="`)
	c.number(y)
	c.buf.WriteString(`" width="`)
	c.number(rect.Size().X.Points())
	c.buf.WriteString(`" height="`)
	c.number(rect.Size().Y.Points())
	c.buf.WriteString(`" href="data:image/png;base64,` + base64.StdEncoding.EncodeToString(raw.Bytes()) + "\"/>\n")
}

// open begins a group of a class, with a title unless it is empty.
func (c *svgCanvas) open(class, title string) {
	c.buf.WriteString(`<g class="` + class + `">`)
	if title != "" {
		c.buf.WriteString("<title>")
		escape(&c.buf, title)
		c.buf.WriteString("</title>")
	}
}

func (c *svgCanvas) close() { c.buf.WriteString("</g>\n") }

// colour writes the colour for an attribute, and where it is not solid the attribute of its opacity after it.
func (c *svgCanvas) colour(attribute string) {
	colour := c.state().colour
	named, isShade := colour.(shade)
	n := named.NRGBA
	if !isShade {
		n = color.NRGBAModel.Convert(colour).(color.NRGBA)
	}
	const digits = "0123456789abcdef"
	hex := [7]byte{'#', digits[n.R>>4], digits[n.R&15], digits[n.G>>4], digits[n.G&15], digits[n.B>>4], digits[n.B&15]}
	if isShade && c.variables {
		c.buf.WriteString("var(--chart-" + roleNames[named.role] + ",")
		c.buf.Write(hex[:])
		c.buf.WriteByte(')')
	} else {
		c.buf.Write(hex[:])
	}
	if n.A != 0xff {
		c.buf.WriteString(`" ` + attribute + `-opacity="`)
		c.number(float64(n.A) / 0xff)
	}
}

// escape writes a text so that XML can hold it; what XML cannot hold becomes the replacement character.
func escape(w io.Writer, s string) { _ = xml.EscapeText(w, []byte(s)) } // the buffers it writes to never fail

func (c *svgCanvas) writeTo(w io.Writer, chart Chart, o Options) error {
	id := chart.Name
	if o.ID != "" {
		id = o.ID + "-" + chart.Name
	}
	width, height := strconv.Itoa(o.Width), strconv.Itoa(o.Height)
	var head bytes.Buffer
	head.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="` + width + `" height="` + height + `" viewBox="0 0 ` + width + " " + height +
		`" role="img" aria-labelledby="` + id + `-title" aria-describedby="` + id + `-desc" font-family="` + fontFamily + `" font-size="` + strconv.FormatFloat(textSize, 'g', -1, 64) + `">` + "\n")
	head.WriteString(`<title id="` + id + `-title">`)
	escape(&head, chart.Title)
	head.WriteString("</title>\n" + `<desc id="` + id + `-desc">`)
	escape(&head, chart.alt)
	head.WriteString("</desc>\n")
	c.buf.WriteString("</svg>\n")
	if _, err := w.Write(head.Bytes()); err != nil {
		return err
	}
	_, err := w.Write(c.buf.Bytes())
	return err
}
