package longterm

import (
	"math"

	"mastworth/resource"
)

// leastShare is the share of an averaging interval's steps that must have usable speeds for its average to count.
// Judgement.
const leastShare = 0.75

// cell is the average over one interval.
type cell struct {
	bin       int64   // the interval's running number
	speed     float64 // m/s
	direction float64 // of the vector mean, degrees, or of the one step there is; NaN for calms and unknown
}

// axis holds what is averaged, and how. Intervals are numbered from an origin in each record's own clock; the two
// origins lie a shift apart.
type axis struct {
	averageS          int64
	target, ref       record
	targetRigid       bool // its own steps are the intervals: they are shifted by moving the reference's
	origin            int64
	fineS             int64 // a shift below this tells nothing
	buffer, refBuffer []cell
}

// record is one channel on its time axis.
type record struct {
	s        *resource.Series
	c        *resource.Channel
	from, to int // the stamps looked at
	least    int // usable steps an interval needs
}

func newRecord(s *resource.Series, c *resource.Channel, from, to int, averageS int64) record {
	steps := max(1, int(averageS/max(s.StepS, 1)))
	return record{s: s, c: c, from: from, to: to, least: int(math.Ceil(leastShare * float64(steps)))}
}

// axisFor lays intervals over the time that a channel of the target, usable in [from, to), and the reference have.
func (m *match) axisFor(c *resource.Channel, from, to int) *axis {
	margin := m.o.MaxShiftS + m.averageS
	r0, r1 := between(m.reference.Times, m.target.Times[from]-margin, m.target.Times[to-1]+m.target.StepS+margin)
	t0, t1 := between(m.target.Times, m.reference.Times[m.first]-margin, m.reference.Times[m.last-1]+m.reference.StepS+margin)
	a := &axis{
		averageS: m.averageS,
		target:   newRecord(m.target, c, max(from, t0), max(from, t0, min(to, t1)), m.averageS),
		ref:      newRecord(m.reference, m.ref, r0, r1, m.averageS),
		fineS:    max(min(m.target.StepS, m.reference.StepS), 1),
	}
	// Where one of them needs no averaging, its steps are the intervals; else they begin with the reference's day.
	switch {
	case m.reference.StepS == m.averageS:
		a.origin = m.reference.Times[m.first]
	case m.target.StepS == m.averageS:
		a.targetRigid = true
		a.origin = m.target.Times[from]
	default:
		a.origin = -m.reference.UTCOffsetS
	}
	return a
}

// targetOrigin and refOrigin are where interval 0 begins by each clock when the reference's is moved by shiftS.
func (a *axis) targetOrigin(shiftS int64) int64 {
	if a.targetRigid {
		return a.origin
	}
	return a.origin + shiftS
}

func (a *axis) refOrigin(shiftS int64) int64 { return a.targetOrigin(shiftS) - shiftS }

// cells averages both records in full.
func (a *axis) cells(shiftS int64, targetDirection, refDirection *resource.Channel) (target, reference []cell) {
	target = a.target.average(nil, targetDirection, a.targetOrigin(shiftS), a.averageS)
	reference = a.ref.average(nil, refDirection, a.refOrigin(shiftS), a.averageS)
	return target, reference
}

// average appends the averages of a record to dst, in the order of time; direction may be nil.
func (r *record) average(dst []cell, direction *resource.Channel, origin, averageS int64) []cell {
	times, values, flags := r.s.Times, r.c.Values, r.c.Flags
	bin, ends := int64(0), int64(math.MinInt64)
	n, sum := 0, 0.0
	first := r.from // stamp of the interval's first step
	for i := r.from; i < r.to; i++ {
		if times[i] >= ends {
			if n >= r.least {
				dst = append(dst, cell{bin, sum / float64(n), r.direction(direction, first, i)})
			}
			bin = floorDiv(times[i]-origin, averageS)
			ends = origin + (bin+1)*averageS
			n, sum, first = 0, 0, i
		}
		if v := values[i]; v == v && (flags == nil || flags[i] == 0) {
			n++
			sum += v
		}
	}
	if n >= r.least && n > 0 {
		dst = append(dst, cell{bin, sum / float64(n), r.direction(direction, first, r.to)})
	}
	return dst
}

// direction is where the wind came from in [from, to): the direction of the vector mean.
func (r *record) direction(c *resource.Channel, from, to int) float64 {
	if c == nil {
		return math.NaN()
	}
	east, north, n, only := 0.0, 0.0, 0, math.NaN()
	for i := from; i < to; i++ {
		if v := r.c.Values[i]; r.c.Usable(i) && c.Usable(i) && v > 0 {
			only = c.Values[i]
			n++
			if to-from > 1 {
				sin, cos := math.Sincos(only * math.Pi / 180)
				east += v * sin
				north += v * cos
			}
		}
	}
	if n <= 1 {
		return only
	}
	return turnOf(east, north)
}

// turnOf is the direction of a vector, degrees in [0, 360); NaN for none.
func turnOf(east, north float64) float64 {
	if east == 0 && north == 0 {
		return math.NaN()
	}
	return wind(math.Atan2(east, north) * 180 / math.Pi)
}

// wind brings a direction into [0, 360).
func wind(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative one
		deg = 0
	}
	return deg
}

// merge calls pair for every interval that both have.
func merge(target, reference []cell, pair func(t, r *cell)) {
	i, j := 0, 0
	for i < len(target) && j < len(reference) {
		switch t, r := &target[i], &reference[j]; {
		case t.bin < r.bin:
			i++
		case t.bin > r.bin:
			j++
		default:
			pair(t, r)
			i++
			j++
		}
	}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
