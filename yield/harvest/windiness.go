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
	// SeasonsW are twelve of any scale by which the promise is spread over the year; nil: it is the same all year. A record that is held
	// against its own long run must follow them, or a season would count twice, or not at all.
	SeasonsW []float64
}

// Windiness tells how much more or less a machine would have made in a stretch of time than it makes in the long run: in the same days of
// the year where the promise knows seasons, else in any. It is a ratio of modelled energies, which the curve's own level hardly moves.
type Windiness struct {
	times []int64
	ends  []int64
	// Sums up to the beginning of each step, and one behind the last: what was modelled and what the long run makes, Ws, of the steps
	// that are known, and how long those lasted, s.
	made, usual, known []float64
	lacking            int // calendar months
}

// ErrTooShort says that a record is too short to have a long run of its own.
var ErrTooShort = errors.New("the record is too short")

// Judgements: a record of less than eleven months has no mean of its own to be held against; a calendar month of less than ten days has
// none either, and then its seasons are not known.
const (
	fewestDays      = 330
	fewestMonthDays = 10
)

// NewWindiness prepares a record. The error wraps ErrTooShort where the record would be its own long run and is shorter than eleven
// months, or its machine makes nothing. It panics where lengths differ or a step is not positive.
func NewWindiness(m Modelled) (*Windiness, error) {
	n := len(m.Times)
	if len(m.PowerW) != n || m.StepS <= 0 || m.LongRunW != nil && len(m.LongRunW) != 12 || m.SeasonsW != nil && len(m.SeasonsW) != 12 {
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

// longRun are the mean powers that the record is held against, by month.
func (w *Windiness) longRun(m *Modelled) (out [12]float64, err error) {
	if m.LongRunW != nil {
		return [12]float64(m.LongRunW), nil
	}
	own := w.months(m)
	w.lacking = own.lacking
	if own.days < fewestDays {
		return out, fmt.Errorf("%w: %.0f days of wind, and %d are needed for a mean to hold it against", ErrTooShort, own.days, fewestDays)
	}
	if m.SeasonsW != nil {
		out, err = own.inSeasons([12]float64(m.SeasonsW))
	} else {
		out = own.evenly()
	}
	if sum := total(out); err == nil && !(sum > 0) {
		err = fmt.Errorf("%w: the machine makes nothing in it", ErrTooShort)
	}
	return out, err
}

// months are what a record has of each calendar month.
type months struct {
	energy, seconds [12]float64 // Ws, s
	days            float64     // of all
	lacking         int         // how many have too little for a mean of their own
}

func (w *Windiness) months(m *Modelled) months {
	var out months
	for i, p := range m.PowerW {
		if k := resource.MonthOf(m.Times[i], m.UTCOffsetS); !math.IsNaN(p) {
			s := float64(w.ends[i] - m.Times[i])
			out.energy[k] += p * s
			out.seconds[k] += s
		}
	}
	out.days = total(out.seconds) / secondsPerDay
	for _, s := range out.seconds {
		if s < fewestMonthDays*secondsPerDay {
			out.lacking++
		}
	}
	return out
}

// inSeasons are the record's own mean powers by month; where it lacks months, the promise's seasons at the level of what it has.
func (r *months) inSeasons(promised [12]float64) (out [12]float64, err error) {
	if r.lacking == 0 {
		for k := range out {
			out[k] = r.energy[k] / r.seconds[k]
		}
		return out, nil
	}
	usual := 0.0
	for k, p := range promised {
		usual += p * r.seconds[k]
	}
	if !(usual > 0) {
		return out, fmt.Errorf("%w: nothing is promised for its months", ErrTooShort)
	}
	for k, p := range promised {
		out[k] = p * total(r.energy) / usual
	}
	return out, nil
}

// evenly is the year's mean power, twelve times: months by their days, or of a record that lacks some all that it has.
func (r *months) evenly() (out [12]float64) {
	mean := total(r.energy) / total(r.seconds)
	if r.lacking == 0 {
		mean = 0
		for k := range r.energy {
			mean += r.energy[k] / r.seconds[k] * float64(yield.DaysInMonth[k])
		}
		mean /= yield.HoursPerYear / 24
	}
	for k := range out {
		out[k] = mean
	}
	return out
}

func total(of [12]float64) (sum float64) {
	for _, v := range of {
		sum += v
	}
	return sum
}

// Lacking is how many calendar months a record lacks that is held against its own long run: unless the promise tells the seasons, that of
// what is there is unknown.
func (w *Windiness) Lacking() int { return w.lacking }

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
