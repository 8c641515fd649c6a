package assess

import (
	"fmt"
	"math"

	"mastworth/resource"
	"mastworth/resource/terrain"
	"mastworth/yield"
)

// fewestDaysAMonth is how much of a calendar month, in days over all years together, must be measured before the month
// has a mean of its own. Judgement.
const fewestDaysAMonth = 10

// recordWind is wind from a record: every energy is summed over its own samples.
type recordWind struct {
	rec         *Record
	series      *resource.Series // the record's own, or stretched to the long run
	columns     []speedColumn    // by rising height
	direction   []uint8          // of each stamp, of 36; where it is not known, dealt out by the rose
	known       []bool           // of each stamp, whether its direction was measured
	month       []uint8          // of each stamp, 0 is January
	hours       []hours          // of each stamp
	table       bool             // whether the record has directions at all
	undirected  float64          // share of the stamps without a direction
	before      *recordWind      // what a stretched record was stretched from; nil for one that was not
	uncertainty float64          // of a stretched record's long-run mean, relative standard
}

// speedColumn is one speed channel and what its statistics say.
type speedColumn struct {
	index   int
	heightM float64
	stats   resource.Statistics
	mean    float64 // of a year, where it was measured, m/s; NaN until it is known
}

// newRecordWind reads what the estimate needs off a screened series of a record. rose is what the request says of directions,
// for a record that has none; nil: nothing.
func newRecordWind(rec *Record, s *resource.Series, rose []float64) (*recordWind, error) {
	w := &recordWind{rec: rec, series: s}
	for _, i := range s.SpeedChannels() {
		h := s.Channels[i].HeightM
		if h != h {
			h = rec.HeightM
		}
		if h != h {
			continue
		}
		stats, err := resource.Describe(s, i)
		if err != nil {
			return nil, invalid("wind.record", "speed channel %q: %s", s.Channels[i].Name, err)
		}
		w.columns = append(w.columns, speedColumn{index: i, heightM: h, stats: stats, mean: nan})
	}
	if len(w.columns) == 0 {
		if len(s.SpeedChannels()) > 0 {
			return nil, invalid("wind.record.height_m", "the record does not say how high its anemometer stood; give the height")
		}
		return nil, invalid("wind.record", "the record %q has no wind speed", rec.Ref)
	}
	for i := range w.columns {
		if err := w.columns[i].stats.FitError; err != nil && len(w.columns) == 1 {
			why := err.Error()
			if st := &w.columns[i].stats; st.Flagged > st.N {
				why = fmt.Sprintf("screening left out %d of its %d values as doubtful (%s); look at them with inspect, and check units and columns",
					st.Flagged, st.Flagged+st.N, why)
			}
			return nil, invalid("wind.record", "no wind distribution can be had from speed channel %q: %s",
				s.Channels[w.columns[i].index].Name, why)
		}
	}
	w.classify(rose)
	return w, nil
}

// longestStepByDay is the longest step, s, of which one can tell whether it falls by night or by day.
const longestStepByDay = 3 * 3600

// classify finds month, hours and direction of every stamp, once for all heights. Where a record has directions, its own rose
// says how those that are missing are dealt out; where it has none, the request's, or all alike.
func (w *recordWind) classify(rose []float64) {
	s := w.series
	n := s.Len()
	w.month, w.hours, w.direction, w.known = make([]uint8, n), make([]hours, n), make([]uint8, n), make([]bool, n)
	own := roseOf(rose)
	if i := s.Find(resource.Direction, w.columns[0].heightM); i >= 0 {
		own = w.measuredDirections(&s.Channels[i], own)
	}
	deal := newDealer(own)
	for i, t := range s.Times {
		w.month[i] = uint8(resource.MonthOf(t, s.UTCOffsetS))
		w.hours[i] = night
		switch {
		case s.StepS > longestStepByDay:
			w.hours[i] = allHours
		case resource.IsDay(t, s.UTCOffsetS):
			w.hours[i] = day
		}
		if !w.known[i] {
			w.direction[i] = deal.next()
			w.undirected++
		}
	}
	w.undirected /= float64(max(n, 1))
	w.table = w.table && w.undirected < 1
}

// measuredDirections fills in the directions that are there and returns their rose; otherwise where they are next to none.
func (w *recordWind) measuredDirections(c *resource.Channel, otherwise *directions) *directions {
	const fewest = 100 // to speak for a rose
	var counts directions
	n := 0.0
	for i := range c.Values {
		if !c.Usable(i) {
			continue
		}
		d := resource.SectorOf(c.Values[i], terrain.DirectionCount)
		if d < 0 {
			continue
		}
		w.direction[i], w.known[i] = uint8(d), true
		counts[d]++
		n++
	}
	w.table = true
	if n < fewest {
		return otherwise
	}
	for d := range counts {
		counts[d] /= n
	}
	return &counts
}

// heightFor is the measuring height nearest to the hub, in ratio; among equals the higher.
func (w *recordWind) heightFor(hubM float64) float64 {
	out, nearest := w.columns[0].heightM, math.Inf(1)
	for i := range w.columns {
		c := &w.columns[i]
		if d := math.Abs(math.Log(c.heightM / hubM)); d <= nearest && w.serves(c) {
			out, nearest = c.heightM, d
		}
	}
	return out
}

// highestM is the height of the highest column that may carry the estimate.
func (w *recordWind) highestM() float64 {
	out := w.columns[0].heightM
	for i := range w.columns {
		if c := &w.columns[i]; w.serves(c) {
			out = max(out, c.heightM)
		}
	}
	return out
}

// serves reports whether a column may carry an estimate: it can be fitted, and holds at least half as much as the fullest.
func (w *recordWind) serves(c *speedColumn) bool {
	most := 0
	for i := range w.columns {
		most = max(most, w.columns[i].stats.N)
	}
	return c.stats.FitError == nil && 2*c.stats.N >= most
}

// judged is the column the record is judged by: the emptiest of those that may carry the estimate.
func (w *recordWind) judged() *speedColumn {
	out := &w.columns[0]
	for i := range w.columns {
		if c := &w.columns[i]; w.serves(c) && (!w.serves(out) || c.stats.N < out.stats.N) {
			out = c
		}
	}
	return out
}

// column is the speed channel at a height: of two sensors side by side, the one with more usable values.
func (w *recordWind) column(heightM float64) *speedColumn {
	var out *speedColumn
	for i := range w.columns {
		if c := &w.columns[i]; c.heightM == heightM &&
			(out == nil || out.stats.FitError != nil && c.stats.FitError == nil || w.serves(c) && c.stats.N > out.stats.N) {
			out = c
		}
	}
	if out == nil {
		panic("assess: no speed channel at that height")
	}
	return out
}

// weakLongTerm is the standard uncertainty of the long-run mean speed from which no verdict may rest on it: energy is off by two
// to three times as much. Judgement.
const weakLongTerm = 0.15

// unitDoubt says why the speeds look as if they were read in another unit; empty where they do not.
func (w *recordWind) unitDoubt() string {
	for i := range w.columns {
		c := &w.columns[i]
		if doubt := w.rec.UnitDoubts[w.series.Channels[c.index].Name]; doubt != "" && w.serves(c) {
			return doubt
		}
	}
	return ""
}

// tooWeak says why no verdict may rest on the record, or nil. A stretched record is as weak as what it was stretched from.
func (w *recordWind) tooWeak() *Reason {
	if w.before != nil {
		if reason := w.before.tooWeak(); reason != nil {
			return reason
		}
		if w.uncertainty > weakLongTerm {
			return &Reason{"long_term_uncertain", fmt.Sprintf("the long-run mean speed is known to %.0f %% only (one standard uncertainty), and "+
				"the energy to two to three times as much: measure longer", 100*w.uncertainty)}
		}
	}
	if doubt := w.unitDoubt(); doubt != "" {
		return &Reason{"unit_doubtful", doubt + ". Until that is settled nothing can be said; whoever knows the unit to be right leaves the " +
			"rule " + resource.SuspectUnit + " out (wind.record.screening.leave_out)"}
	}
	c := w.judged()
	days := float64(c.stats.N) * float64(w.series.StepS) / 86400
	switch {
	case w.series.Kind == resource.Daily:
		return &Reason{"daily_means", "the record holds daily means, which hide the gusty hours that make the energy; find hourly data"}
	case days < shortestRecordDays:
		return &Reason{"record_too_short", fmt.Sprintf("the record holds %.0f days of wind; less than a season (%d days) says "+
			"little about a year", days, shortestRecordDays)}
	}
	return nil
}

// at moves every sample to the hub.
func (w *recordWind) at(fromM, _ float64, l lift, rho float64) (hub, error) {
	c := w.column(fromM)
	m := w.move(c, l)
	fit, err := w.fitAt(c, m, l)
	if err != nil {
		return hub{}, err
	}
	mean, cube := m.mean(func(v float64) float64 { return v }), m.mean(func(v float64) float64 { return v * v * v })
	if c.mean != c.mean {
		c.mean = w.move(c, lift{all: 1}).mean(func(v float64) float64 { return v })
	}
	return hub{
		wind: HeightWind{
			MeanSpeedMS:     mean,
			PowerDensityWM2: 0.5 * rho * cube,
			AirDensityKgM3:  rho,
			HeightFactor:    mean / c.mean,
			Weibull:         wireFit(fit),
			Sectors:         w.sectorsAt(c, l),
			CalmShare:       fit.CalmShare,
		},
		basis:   "series",
		power:   m,
		weights: &m.weights,
		beyond: func(v float64) float64 {
			above := func(x float64) float64 {
				if x > v {
					return 1
				}
				return 0
			}
			return m.mean(above)
		},
	}, nil
}

// fitAt is the all-round Weibull fit at the hub: the record's own, scaled, where one factor serves all speeds.
func (w *recordWind) fitAt(c *speedColumn, m *moved, l lift) (resource.Fit, error) {
	if l.by == nil {
		fit := c.stats.Fit
		fit.Weibull = fit.Weibull.Scaled(l.all)
		fit.ScaleSE *= l.all
		return fit, c.stats.FitError
	}
	return resource.FitSpeeds(m.speeds, resource.MaximumLikelihood)
}

// sectorsAt describes each sector at the hub; nil where the record has no directions.
func (w *recordWind) sectorsAt(c *speedColumn, l lift) []Sector {
	if !w.table {
		return nil
	}
	out := make([]Sector, len(c.stats.Sectors))
	var bySector [][]float64
	if l.by != nil {
		bySector = w.bySector(c, l)
	}
	for i, st := range c.stats.Sectors {
		s := Sector{FromDeg: st.FromDeg, ToDeg: st.ToDeg, Share: st.Share, MeanSpeedMS: st.Mean * l.all}
		fit := st.Fit
		if bySector != nil {
			s.MeanSpeedMS = resource.MeanOf(bySector[i])
			if f, err := resource.FitSpeeds(bySector[i], resource.MaximumLikelihood); err == nil && st.Fit != nil {
				fit = &f
			}
		}
		if fit != nil {
			f := *fit
			if bySector == nil {
				f.Weibull = f.Weibull.Scaled(l.all)
				f.ScaleSE *= l.all
			}
			wf := wireFit(f)
			s.Weibull = &wf
		}
		out[i] = s
	}
	return out
}

// moved is a record's speeds at a hub, gathered by month.
type moved struct {
	speeds   []float64 // all of them, January first
	from     [13]int   // month m's speeds are speeds[from[m]:from[m+1]]
	counts   [12]bool  // whether a month has enough to have a mean of its own
	complete bool      // whether every month has
	weights  weights   // of the samples, by direction
	piled    *piles    // once it is asked for
	heightM  float64   // of the channel
	lift     lift
}

// move gathers the usable speeds of a channel by month, each times its factor.
func (w *recordWind) move(c *speedColumn, l lift) *moved {
	ch := &w.series.Channels[c.index]
	m := &moved{heightM: c.heightM, lift: l}
	var count [12]int
	for i := range ch.Values {
		if ch.Usable(i) {
			count[w.month[i]]++
		}
	}
	m.complete = true
	for k, n := range count {
		m.from[k+1] = m.from[k] + n
		m.counts[k] = float64(n)*float64(w.series.StepS) >= fewestDaysAMonth*86400
		m.complete = m.complete && m.counts[k]
	}
	m.speeds = make([]float64, m.from[12])
	next := m.from
	for i, v := range ch.Values {
		if ch.Usable(i) {
			k := w.month[i]
			d := w.direction[i]
			moved := v * l.at(k, d, w.hours[i])
			m.speeds[next[k]] = moved
			m.weights.flow[d] += moved
			m.weights.time[d]++
			next[k]++
		}
	}
	return m
}

func (w *recordWind) bySector(c *speedColumn, l lift) [][]float64 {
	ch := &w.series.Channels[c.index]
	out := make([][]float64, resource.SectorCount)
	for i, v := range ch.Values {
		if w.known[i] && ch.Usable(i) && v > 0 { // calms have no direction
			d := w.direction[i]
			s := sectorOf(int(d))
			out[s] = append(out[s], v*l.at(w.month[i], d, w.hours[i]))
		}
	}
	return out
}

// year weighs monthly means by the days of their months, those that are there; without any it is the plain mean of what
// there is. The months themselves are given only where all are there.
func (m *moved) year(of func(speeds []float64) float64) (year float64, months *[12]float64) {
	var each [12]float64
	days := 0
	for k := range each {
		if m.counts[k] {
			each[k] = of(m.speeds[m.from[k]:m.from[k+1]])
			year += each[k] * float64(yield.DaysInMonth[k])
			days += yield.DaysInMonth[k]
		}
	}
	switch {
	case days == 0:
		return of(m.speeds), nil
	case !m.complete:
		return year / float64(days), nil
	}
	return year / float64(days), &each
}

func (m *moved) mean(f func(v float64) float64) float64 {
	year, _ := m.year(func(speeds []float64) float64 {
		sum := 0.0
		for _, v := range speeds {
			sum += f(v)
		}
		return sum / float64(len(speeds))
	})
	return year
}

func (m *moved) meanPower(c *yield.Curve) (float64, *[12]float64) { return m.year(c.MeanPowerSpeeds) }
