package chart

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// element is one element of an SVG.
type element struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []element  `xml:",any"`
}

func (e *element) attr(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// all gives every element below that a test wants.
func (e *element) all(want func(*element) bool) (out []*element) {
	for i := range e.Children {
		c := &e.Children[i]
		if want(c) {
			out = append(out, c)
		}
		out = append(out, c.all(want)...)
	}
	return out
}

// marks are the groups of a class, whatever other classes they have.
func (e *element) marks(class string) []*element {
	return e.all(func(c *element) bool {
		return c.XMLName.Local == "g" && strings.Contains(" "+c.attr("class")+" ", " "+class+" ")
	})
}

func (e *element) texts() (out []string) {
	for _, t := range e.all(func(c *element) bool { return c.XMLName.Local == "text" }) {
		out = append(out, t.Text)
	}
	return out
}

func svgOf(t testing.TB, c Chart, o Options) []byte {
	t.Helper()
	var buf bytes.Buffer
	if err := c.SVG(&buf, o); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func parse(t testing.TB, raw []byte) *element {
	t.Helper()
	var e element
	if err := xml.Unmarshal(raw, &e); err != nil {
		t.Fatalf("not XML: %v\n%s", err, raw)
	}
	return &e
}

var coordinate = regexp.MustCompile(`-?\d+(?:\.\d+)?`)

// numbers are the coordinates of a path, arcs aside.
func numbers(t testing.TB, path string) (out []float64) {
	t.Helper()
	for _, s := range coordinate.FindAllString(path, -1) {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

var allOptions = []Options{{}, {Width: NarrowWidth}, {Dark: true}, {Bare: true, Variables: true}, {Width: leastWidth, Height: leastHeight}}

// Every picture is XML with a title, a description, text as text, no style attribute (a strict policy forbids it), no number
// that is none, and nothing smaller than 10 px; the same data give the same bytes.
func TestEveryPicture(t *testing.T) {
	for _, c := range sampleCharts(t) {
		for _, o := range allOptions {
			raw := svgOf(t, c, o)
			if !bytes.Equal(raw, svgOf(t, c, o)) {
				t.Errorf("%s: two pictures of the same data differ", c.Name)
			}
			for _, bad := range []string{"NaN", "Inf", "style="} {
				if bytes.Contains(raw, []byte(bad)) {
					t.Errorf("%s %+v: contains %s", c.Name, o, bad)
				}
			}
			e := parse(t, raw)
			if e.attr("role") != "img" || e.Children[0].Text != c.Title || e.Children[1].Text != c.Alt() {
				t.Errorf("%s: no role, title or description", c.Name)
			}
			if len(e.texts()) < 3 {
				t.Errorf("%s: only the texts %q", c.Name, e.texts())
			}
			checkTexts(t, c.Name, e)
		}
	}
}

// checkTexts holds the size of text to 10 px and its place to the picture.
func checkTexts(t *testing.T, name string, e *element) {
	t.Helper()
	width, _ := strconv.ParseFloat(e.attr("width"), 64)
	height, _ := strconv.ParseFloat(e.attr("height"), 64)
	for _, text := range e.all(func(c *element) bool { return c.XMLName.Local == "text" }) {
		size, err := strconv.ParseFloat(cmp.Or(text.attr("font-size"), e.attr("font-size")), 64)
		if err != nil || size < 10 {
			t.Errorf("%s: %q is %s px", name, text.Text, text.attr("font-size"))
		}
		x, _ := strconv.ParseFloat(text.attr("x"), 64)
		y, _ := strconv.ParseFloat(text.attr("y"), 64)
		if x < -1 || x > width+1 || y < 0 || y > height+1 {
			t.Errorf("%s: %q begins at %g, %g, outside %g by %g", name, text.Text, x, y, width, height)
		}
	}
}

// Axes name what they show and its unit.
func TestAxesHaveUnits(t *testing.T) {
	want := map[string][2]string{
		"energy-by-height": {"Hub height, m", "Net energy, kWh a year"},
		"cost-by-height":   {"Hub height, m", "Cost, EUR a kWh"},
		"months":           {"", "Energy, kWh a month"},
		"speeds":           {"Wind speed, m/s", "Share of time, %"},
		"energy-by-speed":  {"Wind speed, m/s", "Power, W"},
		"power-curves":     {"Wind speed, m/s", "Power, W"},
		"losses":           {"Energy, kWh a year", ""},
		"sensitivities":    {"Net energy, kWh a year", ""},
		"cash":             {"Year", "Money so far, EUR, in today’s money"},
		"month-hour":       {"Hour of the day", "Wind speed, m/s"},
		"two-heights":      {"Wind speed at 10 m, m/s", "Wind speed at 24 m, m/s"},
		"harvest":          {"", "Energy, kWh"},
	}
	for _, c := range sampleCharts(t) {
		e := parse(t, svgOf(t, c, Options{}))
		for i, class := range []string{"x-axis", "y-axis"} {
			if w := want[c.Name][i]; w != "" {
				if got := e.marks(class); len(got) == 0 || got[0].texts()[0] != w {
					t.Errorf("%s: the %s does not say %q", c.Name, class, w)
				}
			}
		}
	}
}

// So many marks as there are data.
func TestMarksCount(t *testing.T) {
	want := map[string]int{"energy-by-height": 6, "cost-by-height": 6, "months": 24, "wind-rose": 12, "energy-rose": 12, "speeds": 20,
		"energy-by-speed": 20, "power-curves": 9, "losses": 7, "sensitivities": 8, "site-plan": 5, "coverage": 27, "month-hour": 287,
		"findings": 10, "harvest": 12}
	for _, c := range sampleCharts(t) {
		if w, listed := want[c.Name]; listed {
			if got := len(parse(t, svgOf(t, c, Options{})).marks("mark")); got != w {
				t.Errorf("%s: %d marks, want %d", c.Name, got, w)
			}
		}
	}
}

func TestPNG(t *testing.T) {
	for _, c := range sampleCharts(t)[:4] {
		for _, scale := range []int{1, 2} {
			var a, b bytes.Buffer
			if err := errors.Join(c.PNG(&a, Options{Scale: scale}), c.PNG(&b, Options{Scale: scale})); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a.Bytes(), b.Bytes()) {
				t.Errorf("%s: two pictures of the same data differ", c.Name)
			}
			img, err := png.Decode(&a)
			if err != nil {
				t.Fatal(err)
			}
			if s := img.Bounds().Size(); s.X != DefaultWidth*scale || s.Y != DefaultHeight*scale {
				t.Errorf("%s: %v px at scale %d", c.Name, s, scale)
			}
		}
	}
}

func TestOptionsRefused(t *testing.T) {
	c := sampleCharts(t)[0]
	for _, o := range []Options{{Width: 100}, {Width: 5000}, {Height: 20}, {Scale: 9}, {ID: `"><script>`}} {
		if err := c.SVG(io.Discard, o); !errors.Is(err, ErrOptions) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	if err := c.PNG(io.Discard, Options{Width: 3000, Scale: 2}); !errors.Is(err, ErrOptions) {
		t.Errorf("a huge PNG: %v", err)
	}
}

type broken struct{}

var errBroken = errors.New("broken")

func (broken) Write([]byte) (int, error) { return 0, errBroken }

func TestWritersErrorComesBack(t *testing.T) {
	c := sampleCharts(t)[0]
	for _, err := range []error{c.SVG(broken{}, Options{}), c.PNG(broken{}, Options{}), c.CSV(broken{})} {
		if !errors.Is(err, errBroken) {
			t.Errorf("got %v", err)
		}
	}
}

// Arcs drawn by the SVG canvas end where the circle says, whichever way round (closed form).
func TestArcs(t *testing.T) {
	c := newSVGCanvas(100, false)
	c.path(disc(pt(50, 50), 20))
	n := numbers(t, strings.NewReplacer("A", " ", "M", " ").Replace(c.buf.String()))
	end := n[len(n)-2:]
	if math.Hypot(end[0]-n[0], end[1]-n[1]) > 0.02 {
		t.Errorf("a circle begins at %v and ends at %v", n[:2], end)
	}
	if math.Abs(n[0]-50) > 0.01 || math.Abs(n[1]-30) > 0.01 { // north, y downwards
		t.Errorf("a circle begins at %v, want 50, 30", n[:2])
	}
}
