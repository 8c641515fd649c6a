package harvest

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"mastworth/resource"
	"mastworth/yield"
)

// Modelled is what a machine's curve makes of a record's wind at the hub, step by step.
type Modelled struct {
	Times      []int64   // Unix seconds at which the steps begin, strictly rising
	StepS      int64     // their usual length, above 0
	UTCOffsetS int64     // local standard time less UTC
	PowerW     []float64 // mean over the step; NaN where the wind is not known
	// LongRunW are twelve mean powers by calendar month that the record is held against, W, January first; nil: its own.
	LongRunW []float64
}

// Windiness tells how much more or less a machine would have made in a stretch of time than it makes in the long run in the same days of
// the year: a ratio of modelled energies, which the curve's own level hardly moves.
type Windiness struct {
	times []int64
	ends  []int64
	// Sums up to the beginning of each step, and one behind the last: what was modelled and what the long run makes, Ws, of the steps
	// that are known, and how long those lasted, s.
	made, usual, known []float64
	bySeason           bool
}

// ErrTooShort says that a record is too short to have a long run of its own.
var ErrTooShort = errors.New("the record is too short")

// Judgements: a record of less than eleven months has no mean of its own to be held against; a calendar month of less than ten days has
// none either, and then the seasons cannot be told.
const (
	fewestDays      = 330
	fewestMonthDays = 10
)

// NewWindiness prepares a record. The error wraps ErrTooShort where the record would be its own long run and is shorter than eleven
// months, or its machine makes nothing. It panics where lengths differ or a step is not positive.
func NewWindiness(m Modelled) (*Windiness, error) {
	n := len(m.Times)
	if len(m.PowerW) != n || m.StepS <= 0 || m.LongRunW != nil && len(m.LongRunW) != 12 {
		panic("harvest: lists that do not fit")
	}
	w := &Windiness{times: m.Times, ends: make([]int64, n), made: make([]float64, n+1), usual: make([]float64, n+1), known: make([]float64, n+1)}
	for i, t := range m.Times {
		w.ends[i] = t + m.StepS
		if i+1 < n {
			w.ends[i] = min(w.ends[i], m.Times[i+1])
		}
	}
	longRun, err := w.longRun(&m)
	if err != nil {
		return nil, err
	}
	for i, p := range m.PowerW {
		seconds := float64(w.ends[i] - m.Times[i])
		w.made[i+1], w.usual[i+1], w.known[i+1] = w.made[i], w.usual[i], w.known[i]
		if !math.IsNaN(p) {
			w.made[i+1] += p * seconds
			w.usual[i+1] += longRun[resource.MonthOf(m.Times[i], m.UTCOffsetS)] * seconds
			w.known[i+1] += seconds
		}
	}
	return w, nil
}

// longRun are the mean powers that the record is held against.
func (w *Windiness) longRun(m *Modelled) ([12]float64, error) {
	var energy, seconds, out [12]float64
	if m.LongRunW != nil {
		copy(out[:], m.LongRunW)
		w.bySeason = true
		return out, nil
	}
	for i, p := range m.PowerW {
		if k := resource.MonthOf(m.Times[i], m.UTCOffsetS); !math.IsNaN(p) {
			s := float64(w.ends[i] - m.Times[i])
			energy[k] += p * s
			seconds[k] += s
		}
	}
	w.bySeason = true
	total, made, year := 0.0, 0.0, 0.0
	for k := range seconds {
		total, made = total+seconds[k], made+energy[k]
		w.bySeason = w.bySeason && seconds[k] >= fewestMonthDays*secondsPerDay
		if out[k] = energy[k] / seconds[k]; seconds[k] > 0 {
			year += out[k] * float64(yield.DaysInMonth[k])
		}
	}
	switch {
	case total < fewestDays*secondsPerDay:
		return out, fmt.Errorf("%w: %.0f days of wind, and %d are needed for a mean to hold it against", ErrTooShort, total/secondsPerDay, fewestDays)
	case !(year > 0):
		return out, fmt.Errorf("%w: the machine makes nothing in it", ErrTooShort)
	case !w.bySeason:
		for k := range out {
			out[k] = made / total
		}
	}
	return out, nil
}

// BySeason reports whether the long run is known by calendar month.
func (w *Windiness) BySeason() bool { return w.bySeason }

// KnownDays is for how long the record knows the wind.
func (w *Windiness) KnownDays() float64 { return w.known[len(w.known)-1] / secondsPerDay }

// Over is the ratio for a stretch of time, of the part of it that the record knows, and how large that part is, from 0 to 1. The ratio is
// NaN where it knows nothing of it or the machine makes nothing in the long run.
func (w *Windiness) Over(fromUnix, toUnix int64) (ratio, covered float64) {
	made := upTo(w, w.made, toUnix) - upTo(w, w.made, fromUnix)
	usual := upTo(w, w.usual, toUnix) - upTo(w, w.usual, fromUnix)
	known := upTo(w, w.known, toUnix) - upTo(w, w.known, fromUnix)
	if toUnix <= fromUnix || !(known > 0) || !(usual > 0) {
		return math.NaN(), 0
	}
	return made / usual, math.Min(1, known/float64(toUnix-fromUnix))
}

// upTo is a running sum at a moment: within a step it rises evenly.
func upTo(w *Windiness, sums []float64, unix int64) float64 {
	i := sort.Search(len(w.times), func(i int) bool { return w.times[i] > unix }) - 1
	if i < 0 {
		return 0
	}
	share := math.Min(1, float64(unix-w.times[i])/float64(w.ends[i]-w.times[i]))
	return sums[i] + share*(sums[i+1]-sums[i])
}
