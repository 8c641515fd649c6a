package harvest

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"mastworth/resource"
)

// Reading is what somebody read off: a meter's counter at a moment, or the energy of a period that ended then.
type Reading struct {
	FromUnix int64   // where an energy's period began; 0: with the energy before it. Of a meter it says nothing
	AtUnix   int64   // when it was read
	Meter    bool    // KWh is a counter
	KWh      float64 // finite, at least 0
}

// Interval is the energy of a stretch of time.
type Interval struct {
	FromUnix, ToUnix int64
	KWh              float64
	Meter            bool // it is the difference of two counters
}

// Days is how long it lasts.
func (i *Interval) Days() float64 { return float64(i.ToUnix-i.FromUnix) / secondsPerDay }

const secondsPerDay = 86400

// Intervals turns readings, in any order, into the energy of stretches of time that do not overlap, by rising time. Nothing is
// dropped without a warning: readings that are given twice, counters that went back, energies without a beginning, periods that overlap.
// A counter that went back from near a power of ten to near nothing has turned over, and the energy of that stretch is known; any other
// one was set back or exchanged, and it is not. Two counters at one moment are an old meter's last and a new one's first. Of periods
// that overlap those that end first are kept, which keeps the most. utcOffsetS is the clock of the warnings.
func Intervals(readings []Reading, utcOffsetS int64) ([]Interval, []resource.Warning) {
	g := gathering{offset: utcOffsetS, seen: map[string]int{}}
	rs := slices.Clone(readings)
	slices.SortStableFunc(rs, func(a, b Reading) int {
		// At one moment the higher counter is the old meter's.
		return cmp.Or(cmp.Compare(a.AtUnix, b.AtUnix), -cmp.Compare(a.KWh, b.KWh), cmp.Compare(a.FromUnix, b.FromUnix))
	})
	g.counters(rs)
	g.energies(rs)
	return g.apart(), g.told()
}

// gathering collects intervals and what was odd on the way, by code.
type gathering struct {
	offset int64
	out    []Interval
	notes  []resource.Warning
	seen   map[string]int // times a code was noted
}

// mostTold is how many warnings of one code are told in words; the rest is counted.
const mostTold = 5

func (g *gathering) warn(code, format string, args ...any) {
	if g.seen[code]++; g.seen[code] <= mostTold {
		g.notes = append(g.notes, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
}

// told are the warnings, with a count of those that are not told.
func (g *gathering) told() []resource.Warning {
	var said []string
	for i := range g.notes {
		if code := g.notes[i].Code; g.seen[code] > mostTold && !slices.Contains(said, code) {
			said = append(said, code)
		}
	}
	for _, code := range said {
		g.notes = append(g.notes, resource.Warning{Code: code, Detail: fmt.Sprintf("and so at %d more places", g.seen[code]-mostTold)})
	}
	return g.notes
}

func (g *gathering) at(unix int64) string { return stamp(unix, g.offset) }

func stamp(unix, offset int64) string {
	return time.Unix(unix+offset, 0).UTC().Format("2006-01-02 15:04")
}

// counters makes intervals of what the counter rose between two readings.
func (g *gathering) counters(rs []Reading) {
	var last *Reading
	for i := range rs {
		r := &rs[i]
		if !r.Meter {
			continue
		}
		switch {
		case last == nil:
		case r.AtUnix == last.AtUnix && r.KWh == last.KWh:
			g.warn("reading_twice", "the counter at %s is given twice; one is used", g.at(r.AtUnix))
			continue
		case r.AtUnix == last.AtUnix:
			g.warn("meter_exchanged", "at %s the counter is %s and %s kWh: the first is taken for an old meter's last and the second for a new one's first; "+
				"if it is one meter, delete the wrong one", g.at(r.AtUnix), kwh(last.KWh), kwh(r.KWh))
		case r.KWh >= last.KWh:
			g.out = append(g.out, Interval{last.AtUnix, r.AtUnix, r.KWh - last.KWh, true})
		default:
			g.wentBack(last, r)
		}
		last = r
	}
}

// A counter has turned over where it stood in the last fifth before a power of ten of at least a thousand kWh and stands in the first
// fifth behind it. Judgement: what lies between is less than a year's harvest of a small machine on a meter of five digits.
const (
	leastRollover = 1000.0
	rolloverShare = 0.2
)

func (g *gathering) wentBack(last, r *Reading) {
	top := math.Pow(10, math.Ceil(math.Log10(last.KWh)))
	if top >= leastRollover && last.KWh >= (1-rolloverShare)*top && r.KWh <= rolloverShare*top {
		g.out = append(g.out, Interval{last.AtUnix, r.AtUnix, top - last.KWh + r.KWh, true})
		g.warn("meter_turned_over", "between %s and %s the counter went from %s to %s kWh: it is taken to have turned over at %s", g.at(last.AtUnix),
			g.at(r.AtUnix), kwh(last.KWh), kwh(r.KWh), kwh(top))
		return
	}
	g.warn("meter_set_back", "between %s and %s the counter went back from %s to %s kWh: what was made meanwhile is not known and is left out; "+
		"if you know what it showed before it was set back or exchanged, add that as a reading", g.at(last.AtUnix), g.at(r.AtUnix), kwh(last.KWh), kwh(r.KWh))
}

// energies makes intervals of energies that were read as such.
func (g *gathering) energies(rs []Reading) {
	var last *Reading
	for i := range rs {
		r := &rs[i]
		if r.Meter {
			continue
		}
		from := r.FromUnix
		switch {
		case from != 0:
		case last == nil:
			g.warn("no_beginning", "the energy of %s kWh up to %s says not when it began, and none is before it: it is left out; give its beginning",
				kwh(r.KWh), g.at(r.AtUnix))
		default:
			from = last.AtUnix
		}
		if from != 0 && from < r.AtUnix {
			g.out = append(g.out, Interval{from, r.AtUnix, r.KWh, false})
		} else if from != 0 {
			g.warn("reading_twice", "a second energy, %s kWh, ends at %s and has no time of its own: it is left out", kwh(r.KWh), g.at(r.AtUnix))
			continue
		}
		last = r
	}
}

// apart leaves out what overlaps, the usual greedy choice by the earliest end.
func (g *gathering) apart() []Interval {
	slices.SortStableFunc(g.out, func(a, b Interval) int {
		return cmp.Or(cmp.Compare(a.ToUnix, b.ToUnix), -cmp.Compare(a.FromUnix, b.FromUnix))
	})
	kept := g.out[:0]
	for _, i := range g.out {
		if n := len(kept); n > 0 && i.FromUnix < kept[n-1].ToUnix {
			g.warn("periods_overlap", "the %s kWh from %s to %s overlap what is known of that time already, and are left out", kwh(i.KWh), g.at(i.FromUnix),
				g.at(i.ToUnix))
			continue
		}
		kept = append(kept, i)
	}
	return kept
}

func kwh(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }
