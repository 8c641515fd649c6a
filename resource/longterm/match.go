package longterm

import (
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

const (
	secondsPerHour = 3600
	secondsPerDay  = 86400
	secondsPerYear = 365.25 * secondsPerDay

	mostShiftS   = 7 * secondsPerDay
	mostAverageS = 31 * secondsPerDay
)

// fewestDays is the least time in common that a relation is fitted to, days. Judgement: a month holds some eight
// passing weather systems.
const fewestDays = 30

// shortBy is by how much of the record's time the reference may be shorter: a few days missing at an end do not matter.
const shortBy = 0.01

// match holds two records against each other.
type match struct {
	o                 Options
	target, reference *resource.Series
	ref, refDirection *resource.Channel // refDirection nil where there is none
	averageS          int64
	first, last       int   // the reference's usable speeds lie in [first, last)
	shiftS            int64 // added to the reference's clock

	turns       [SectorCount + 1]float64 // of direction from reference to target, degrees, by sector; the last for all
	refSpeeds   int                      // usable speeds of the reference
	targetTurns bool
}

func newMatch(target, reference *resource.Series, refChannel int, o Options) *match {
	m := &match{o: o, target: target, reference: reference, ref: &reference.Channels[refChannel]}
	m.refDirection = directionOf(reference, m.ref)
	coarser := max(target.StepS, reference.StepS, 1)
	average := o.AverageS
	if average == 0 {
		average = secondsPerHour
	}
	m.averageS = (max(average, coarser) + coarser - 1) / coarser * coarser
	return m
}

// directionOf is the direction channel nearest in height to a speed channel; nil where there is none.
func directionOf(s *resource.Series, c *resource.Channel) *resource.Channel {
	if i := s.Find(resource.Direction, c.HeightM); i >= 0 {
		return &s.Channels[i]
	}
	return nil
}

// usable is the range of stamps, as a half-open interval, from a channel's first usable value to its last, and their
// number; two equal ends where there is none.
func usable(c *resource.Channel) (first, last, n int) {
	for i := range c.Values {
		if !c.Usable(i) {
			continue
		}
		if n == 0 {
			first = i
		}
		last = i + 1
		n++
	}
	return first, last, n
}

// check refuses what cannot be matched at all, before anything is averaged.
func (m *match) check(c *resource.Channel, from, to int) error {
	for _, each := range [...]struct {
		s    *resource.Series
		c    *resource.Channel
		what string
	}{{m.target, c, "record"}, {m.reference, m.ref, "reference"}} {
		if each.c.Quantity != resource.Speed {
			return fmt.Errorf("%w: channel %q of the %s holds %s", resource.ErrNotSpeed, each.c.Name, each.what, each.c.Quantity)
		}
		if each.s.Kind == resource.TypicalYear {
			return fmt.Errorf("%w: its months come from different years, so the %s cannot be matched by date; take a record of consecutive years", ErrTypicalYear, each.what)
		}
	}
	if m.refSpeeds == 0 {
		m.first, m.last, m.refSpeeds = usable(m.ref)
	}
	if from == to || m.refSpeeds == 0 {
		return fmt.Errorf("%w: record and reference must both have usable speeds; see what the screening flagged", ErrTooFew)
	}
	t0, t1 := m.target.Times[from], m.target.Times[to-1]+m.target.StepS
	r0, r1 := m.reference.Times[m.first], m.reference.Times[m.last-1]+m.reference.StepS
	if t1 <= r0-m.o.MaxShiftS || r1+m.o.MaxShiftS <= t0 {
		return fmt.Errorf("%w: the record runs from %s to %s, the reference from %s to %s; take a reference that covers the record's time too, or check the years in the files",
			ErrNoOverlap, day(t0), day(t1), day(r0), day(r1))
	}
	if float64(r1-r0) < (1-shortBy)*float64(t1-t0) {
		return fmt.Errorf("%w: %.1f years against %.1f; take a longer reference, or use the record as it is",
			ErrReferenceShort, float64(r1-r0)/secondsPerYear, float64(t1-t0)/secondsPerYear)
	}
	return nil
}

// pairs are the averages both records have, in the order of time.
type pairs struct {
	x, y     []float64 // of reference and target, m/s
	sector   []int8    // of the reference's direction; −1 for calms and unknown
	fromDeg  []float64 // the reference's direction, and the target's; NaN where unknown
	toDeg    []float64
	month    []int32 // running number of the calendar month, by the target's clock
	fromUnix int64
	toUnix   int64
}

// pair averages a channel of the target and the reference over the same intervals; search finds the shift before.
func (m *match) pair(channel int, search bool) (*pairs, error) {
	c := &m.target.Channels[channel]
	from, to, _ := usable(c)
	if err := m.check(c, from, to); err != nil {
		return nil, err
	}
	a := m.axisFor(c, from, to)
	if search {
		m.shiftS = a.search(m.o.MaxShiftS)
	}
	target, reference := a.cells(m.shiftS, directionOf(m.target, c), m.refDirection)
	p := &pairs{}
	merge(target, reference, func(t, r *cell) { p.add(t, r) })
	if len(p.x) > 0 {
		p.date(m, target, reference, a.targetOrigin(m.shiftS))
	}
	days := float64(len(p.x)) * float64(m.averageS) / secondsPerDay
	if days < fewestDays || len(p.x) < fewestPairs {
		return nil, fmt.Errorf("%w: record and reference have %.1f days of %d-s averages in common, and %d days are the least; measure on, or take a reference that covers more of the record",
			ErrTooFew, days, m.averageS, fewestDays)
	}
	return p, nil
}

func (p *pairs) add(t, r *cell) {
	p.x = append(p.x, r.speed)
	p.y = append(p.y, t.speed)
	p.fromDeg = append(p.fromDeg, r.direction)
	p.toDeg = append(p.toDeg, t.direction)
	p.sector = append(p.sector, int8(resource.SectorOf(r.direction, SectorCount)))
}

// date numbers the months of the pairs, which merge gives in the same order again.
func (p *pairs) date(m *match, target, reference []cell, origin int64) {
	p.month = make([]int32, 0, len(p.x))
	number, month, last := int32(-1), -1, int64(math.MinInt64/2)
	merge(target, reference, func(t, _ *cell) {
		at := origin + t.bin*m.averageS
		// A gap of 45 days cannot end in the month it began in, but for a year later.
		if is := resource.MonthOf(at, m.target.UTCOffsetS); is != month || at-last > 45*secondsPerDay {
			number++
			month = is
		}
		if len(p.month) == 0 {
			p.fromUnix = at
		}
		last = at
		p.month = append(p.month, number)
	})
	p.toUnix = last + m.averageS
}

// months is the number of calendar months the pairs touch.
func (p *pairs) months() int { return int(p.month[len(p.month)-1]) + 1 }

// between is the range of stamps in [from, to).
func between(times []int64, from, to int64) (int, int) {
	i, _ := slices.BinarySearch(times, from)
	j, _ := slices.BinarySearch(times, to)
	return i, j
}
