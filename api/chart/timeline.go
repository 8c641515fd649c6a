package chart

import (
	"math"
	"slices"
	"time"

	"gonum.org/v1/plot/vg"
)

// Timeline is what screening found in a record.
type Timeline struct {
	From, To   int64 // Unix, s: the record's
	UTCOffsetS int64
	Lanes      []Lane
}

// Lane is one kind of finding.
type Lane struct {
	Name  string
	Spans []Span
}

// Span is one finding.
type Span struct {
	From, To  int64 // Unix, s
	Words     string
	Scattered bool // it lies in parts between the two, and is not all the time
}

const (
	dayFormat    = "2006-01-02"
	minuteFormat = "2006-01-02 15:04"
)

// TimelineFindings draws a lane for each kind of finding. Spans that touch in the picture are drawn as one; the table has each.
func TimelineFindings(d Timeline) Chart {
	when := func(unix int64, format string) string { return time.Unix(unix+d.UTCOffsetS, 0).UTC().Format(format) }
	c := Chart{Name: "findings", Title: word("timeline"), empty: d.To <= d.From || len(d.Lanes) == 0}
	c.head = []string{word("finding"), word("begin"), word("end"), word("what")}
	n := 0
	names := make([]string, len(d.Lanes))
	for i, l := range d.Lanes {
		names[i] = l.Name
		n += len(l.Spans)
		for _, s := range l.Spans {
			c.rows = append(c.rows, []cell{words(l.Name), words(when(s.From, minuteFormat)), words(when(s.To, minuteFormat)), words(s.Words)})
		}
	}
	c.alt = word("timeline") + ": " + word("no_findings", when(d.From, dayFormat), when(d.To, dayFormat))
	if n > 0 {
		c.alt = word("timeline") + ": " + word("findings_of", n, when(d.From, dayFormat), when(d.To, dayFormat))
	}
	c.draw = func(s *sheet) {
		if d.scattered() {
			s.legend(entry{warn, asBox, nil, word("throughout")}, entry{warn, asLine, nil, word("here_and_there")})
		}
		r := rowChart{names: names}
		r.x = d.dates(s.narrow)
		r.lanes(s, &d, when)
	}
	return c
}

// scattered reports whether any span lies in parts.
func (d *Timeline) scattered() bool {
	for _, l := range d.Lanes {
		if slices.ContainsFunc(l.Spans, func(s Span) bool { return s.Scattered }) {
			return true
		}
	}
	return false
}

// lanes draws the spans.
func (r rowChart) lanes(s *sheet, d *Timeline, when func(int64, string) string) {
	shown := s.beside(r.names, s.c.Size().X*0.34)
	slices.Reverse(shown)
	g := &grid{x: r.x, y: named(shown), upright: true}
	g.layers = []layer{func(s *sheet, x, y func(float64) vg.Length) {
		at := func(unix int64) vg.Length {
			return min(max(x(float64(unix)), s.c.Min.X), s.c.Max.X)
		}
		half := min(9, 0.3*(y(1)-y(0)))
		for i, l := range d.Lanes {
			middle := float64(len(d.Lanes) - 1 - i)
			s.c.StrokeLine2(s.line(faint, hairline), s.c.Min.X, y(middle), s.c.Max.X, y(middle))
			for k := 0; k < len(l.Spans); {
				from, to, last := at(l.Spans[k].From), at(l.Spans[k].To), k+1
				for last < len(l.Spans) && l.Spans[last].Scattered == l.Spans[k].Scattered && at(l.Spans[last].From) <= max(to, from+2)+0.5 && l.Spans[last].From >= l.Spans[k].From {
					to = max(to, at(l.Spans[last].To))
					last++
				}
				title := l.Name + ", " + when(l.Spans[k].From, dayFormat) + "–" + when(l.Spans[last-1].To, dayFormat)
				high := half
				if l.Spans[k].Scattered {
					high = lineWidth / 2
				}
				s.mark("mark", title, func() { s.box(s.colour[warn], from, y(middle)-high, max(to, from+2), y(middle)+high) })
				k = last
			}
		}
	}}
	s.grid(g)
}

// dates is a scale with ticks at the beginning of years, months or days.
func (d *Timeline) dates(narrow bool) scale {
	s := scale{min: float64(d.From), max: float64(d.To)}
	want := 6.0
	if narrow {
		want = 3
	}
	const day = 86400
	days := (s.max - s.min) / day / want
	begin := time.Unix(d.From+d.UTCOffsetS, 0).UTC()
	year, month, first := begin.Date()
	years, months, step := 0, 0, 0
	var format string
	switch {
	case days > 200:
		years, month, first, format = int(math.Ceil(days/366)), 1, 1, "2006"
	case days > 20:
		months, first, format = int(math.Ceil(days/31)), 1, "2006-01"
	default:
		step, format = int(math.Max(1, math.Ceil(days))), "01-02"
	}
	for t := time.Date(year, month, first, 0, 0, 0, 0, time.UTC); ; t = t.AddDate(years, months, step) {
		at := float64(t.Unix() - d.UTCOffsetS)
		if at > s.max {
			return s
		}
		if at >= s.min {
			s.ticks = append(s.ticks, tick{Value: at, Label: t.Format(format)})
		}
	}
}
