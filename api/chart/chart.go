package chart

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// Chart is a picture with its data and its words.
type Chart struct {
	Name  string // stable, kebab-case; it makes the identifiers inside an SVG
	Title string
	alt   string
	head  []string
	rows  [][]cell
	draw  func(*sheet)
	empty bool // there is nothing to show
}

// Options say how a picture is drawn. The zero value is a light picture of 720 by 420 px.
type Options struct {
	Dark      bool   // light ink on dark paper
	Variables bool   // SVG only: colours as CSS variables with the plain colour behind them, for SVG inside a page; see Variables
	Bare      bool   // without title and paper, for a page that has its own
	Width     int    // px; 0 is 720
	Height    int    // px; 0 suits the width
	Scale     int    // PNG only: device pixels a px, 1 to 4; 0 is 1
	ID        string // SVG only: begins the identifiers, for two charts of one name on a page; letters, digits, hyphen
}

// The sizes of pictures, px.
const (
	DefaultWidth  = 720
	DefaultHeight = 420
	NarrowWidth   = 360
	NarrowHeight  = 320
	leastWidth    = 280
	leastHeight   = 180
	mostSide      = 4000
)

// ErrOptions says that a picture cannot be drawn so.
var ErrOptions = errors.New("chart options")

func (o Options) filled() (Options, error) {
	if o.Width == 0 {
		o.Width = DefaultWidth
	}
	if o.Height == 0 {
		o.Height = NarrowHeight
		if o.Width >= narrowBelow {
			o.Height = max(leastHeight, min(mostSide, o.Width*DefaultHeight/DefaultWidth))
		}
	}
	if o.Scale == 0 {
		o.Scale = 1
	}
	switch {
	case o.Width < leastWidth || o.Width > mostSide:
		return o, fmt.Errorf("%w: the width must be from %d to %d px, not %d", ErrOptions, leastWidth, mostSide, o.Width)
	case o.Height < leastHeight || o.Height > mostSide:
		return o, fmt.Errorf("%w: the height must be from %d to %d px, not %d", ErrOptions, leastHeight, mostSide, o.Height)
	case o.Scale < 1 || o.Scale > 4:
		return o, fmt.Errorf("%w: the scale must be from 1 to 4, not %d", ErrOptions, o.Scale)
	case strings.ContainsFunc(o.ID, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-')
	}):
		return o, fmt.Errorf("%w: an identifier has letters, digits and hyphens alone, not %q", ErrOptions, o.ID)
	}
	return o, nil
}

// SVG writes the picture as SVG 1.1, one user unit a px, its text as text, with title and description. Each mark is a group with
// its numbers as title, which browsers show when pointed at. The error is ErrOptions, or the writer's.
func (c Chart) SVG(w io.Writer, o Options) error {
	o, err := o.filled()
	if err != nil {
		return err
	}
	canvas := newSVGCanvas(float64(o.Height), o.Variables)
	c.onto(canvas, o)
	if err := canvas.writeTo(w, c, o); err != nil {
		return fmt.Errorf("writing the chart %q as SVG: %w", c.Name, err)
	}
	return nil
}

// PNG writes the picture as PNG, of Scale device pixels a px. The error is ErrOptions, or the writer's.
func (c Chart) PNG(w io.Writer, o Options) error {
	o, err := o.filled()
	if err != nil {
		return err
	}
	if o.Scale*max(o.Width, o.Height) > mostSide {
		return fmt.Errorf("%w: %d by %d px at scale %d is more than %d pixels a side", ErrOptions, o.Width, o.Height, o.Scale, mostSide)
	}
	const pointsPerInch = 72 // one point is one px
	canvas := vgimg.NewWith(vgimg.UseWH(vg.Length(o.Width), vg.Length(o.Height)), vgimg.UseDPI(pointsPerInch*o.Scale),
		vgimg.UseBackgroundColor(transparent))
	c.onto(canvas, o)
	if _, err := (vgimg.PngCanvas{Canvas: canvas}).WriteTo(w); err != nil {
		return fmt.Errorf("writing the chart %q as PNG: %w", c.Name, err)
	}
	return nil
}

// onto draws paper, title and picture.
func (c Chart) onto(canvas vg.Canvas, o Options) {
	s := newSheet(canvas, o)
	if !o.Bare {
		s.paper()
		s.title(c.Title)
	}
	if c.empty || c.draw == nil {
		s.nothing()
		return
	}
	c.draw(s)
}

// Alt describes the picture in one sentence with its chief numbers.
func (c Chart) Alt() string { return c.alt }

// Empty reports whether there is nothing to show; the picture then says so.
func (c Chart) Empty() bool { return c.empty }

// Table is the picture's data in words fit to read: numbers rounded, a dash for what is not known.
func (c Chart) Table() (header []string, rows [][]string) {
	rows = make([][]string, len(c.rows))
	for i, r := range c.rows {
		rows[i] = make([]string, len(r))
		for j, cell := range r {
			rows[i][j] = cell.read()
		}
	}
	return append([]string(nil), c.head...), rows
}

// CSV writes the picture's data with a header line, numbers to ten digits with a point, an empty cell for what is not known. A
// text that a spreadsheet would take for a formula gets an apostrophe before it.
func (c Chart) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	record := append([]string(nil), c.head...)
	err := out.Write(record)
	for _, r := range c.rows {
		record = record[:0]
		for _, cell := range r {
			record = append(record, cell.write())
		}
		err = errors.Join(err, out.Write(record))
	}
	out.Flush()
	if err = errors.Join(err, out.Error()); err != nil {
		return fmt.Errorf("writing the chart %q as CSV: %w", c.Name, err)
	}
	return nil
}

// cell is a number or a text of the table.
type cell struct {
	text   string // of a number: as it is read; nothing for a figure
	number float64
	isText bool
}

func num(x float64) cell { return cell{number: x} }

func words(s string) cell { return cell{text: s, isText: true} }

func (c cell) read() string {
	if c.isText || c.text != "" {
		return c.text
	}
	return figure(c.number)
}

func (c cell) write() string {
	switch {
	case c.isText:
		if c.text != "" && strings.ContainsRune("=+-@\t\r", rune(c.text[0])) {
			return "'" + c.text
		}
		return c.text
	case !known(c.number):
		return ""
	}
	return strconv.FormatFloat(c.number+0, 'g', 10, 64) // +0 turns −0 into 0
}

// known reports whether a number is one: neither NaN nor infinite.
func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// figure writes a number to read: whole from 100 on, three digits below; a dash for what is not known.
func figure(x float64) string {
	switch a := math.Abs(x); {
	case !known(x):
		return wordUnknown
	case a >= 1e7:
		return signed(strconv.FormatFloat(x, 'g', 4, 64))
	case a >= 99.95:
		return short(x, 0)
	case a >= 9.995:
		return short(x, 1)
	case a >= 0.9995 || a == 0:
		return short(x, 2)
	case a >= 0.001:
		return short(x, 3)
	default:
		return signed(strconv.FormatFloat(x, 'g', 2, 64))
	}
}

// signed turns the hyphen before a number into the minus sign, which is as wide as a digit.
func signed(s string) string {
	if rest, below := strings.CutPrefix(s, "-"); below {
		return "−" + rest
	}
	return s
}

// short writes a number to so many decimals, without zeros at its end.
func short(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.ContainsRune(s, '.') {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return signed(s)
}

// anyKnown reports whether there is any number among them.
func anyKnown(lists ...[]float64) bool {
	for _, list := range lists {
		for _, x := range list {
			if known(x) {
				return true
			}
		}
	}
	return false
}
