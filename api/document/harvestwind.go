package document

import (
	"errors"
	"fmt"
	"math"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/yield"
	"mastworth/yield/harvest"
)

// harvestWind makes a record tell how windy a time was.
type harvestWind struct {
	e     *openapi.Estimate
	h     *openapi.HeightEstimate
	in    *HarvestInput
	curve *yield.Curve
}

// longestStep is the longest step, s, whose means still have the gusty hours in them that make the energy.
const longestStep = 6 * 3600

// windiness is nil without a record; the error says why a record cannot tell.
func (w *harvestWind) windiness() (*harvest.Windiness, error) {
	s := w.in.Record
	switch {
	case s == nil:
		return nil, nil
	case s.Kind == resource.TypicalYear:
		return nil, errors.New("it is a typical year, strung together from months of different years")
	case s.Kind == resource.Daily || s.StepS > longestStep:
		return nil, errors.New("it holds means over a day or so, which hide the gusty hours that make the energy")
	}
	m := harvest.Modelled{Times: s.Times, StepS: s.StepS, UTCOffsetS: s.UTCOffsetS}
	if len(w.h.Energy.MonthlyKWh) == 12 {
		m.SeasonsW = w.estimated()
	}
	var err error
	if w.in.own() { // what the estimate makes of the whole record, or of what it was stretched to, is the long run
		m.LongRunW = w.estimated()
		m.PowerW, err = w.in.Powers(w.h.HubHeightM)
	} else {
		m.PowerW, err = w.elsewhere()
	}
	if err != nil {
		return nil, err
	}
	return harvest.NewWindiness(m)
}

// elsewhere is what the curve makes of another record's wind, step by step, W, by the one factor that gives it the mean at the hub. One is
// enough for a ratio of energies, as far as that wind goes with the hub's at all.
func (w *harvestWind) elsewhere() ([]float64, error) {
	s := w.in.Record
	i := s.Find(resource.Speed, w.h.HubHeightM)
	if i < 0 {
		return nil, errors.New("it has no wind speed")
	}
	c := &s.Channels[i]
	mean := yearMean(s, c)
	if !(mean > 0) || w.h.Wind.MeanSpeedMS == nil {
		return nil, errors.New("its wind has no mean")
	}
	factor, out := *w.h.Wind.MeanSpeedMS/mean, make([]float64, s.Len())
	for i, v := range c.Values {
		out[i] = nan
		if c.Usable(i) {
			out[i] = w.curve.Power(factor * v)
		}
	}
	return out, nil
}

// yearMean is a record's mean speed, months weighed by their days.
func yearMean(s *resource.Series, c *resource.Channel) float64 {
	var sums, counts [12]float64
	for i, v := range c.Values {
		if c.Usable(i) {
			m := resource.MonthOf(s.Times[i], s.UTCOffsetS)
			sums[m] += v
			counts[m]++
		}
	}
	sum, days := 0.0, 0.0
	for m := range sums {
		if counts[m] > 0 {
			sum += sums[m] / counts[m] * float64(yield.DaysInMonth[m])
			days += float64(yield.DaysInMonth[m])
		}
	}
	return sum / days
}

// estimated are the estimate's mean powers by month, before losses, W.
func (w *harvestWind) estimated() []float64 {
	en := &w.h.Energy
	gross, net := value(en.GrossKWh, nan), value(en.NetKWh, nan)
	out := make([]float64, 12)
	for m := range out {
		out[m] = gross * 1000 / yield.HoursPerYear
		if len(en.MonthlyKWh) == 12 && net > 0 {
			out[m] = en.MonthlyKWh[m] * gross / net * 1000 / float64(24*yield.DaysInMonth[m])
		}
		if math.IsNaN(out[m]) {
			return nil
		}
	}
	return out
}

// fewestYears is how many years a record must have for its mean to be another than that of the time that was read. Judgement.
const fewestYears = 2

// mostOfIt is the share of the days read from which on a record is of the time that was read. Judgement.
const mostOfIt = 0.8

// weak says where a record tells less than it seems to.
func (w *harvestWind) weak(wind *harvest.Windiness, c *harvest.Comparison) openapi.Warnings {
	var out openapi.Warnings
	add := func(code, format string) {
		out = append(out, openapi.Warning{Code: code, Detail: fmt.Sprintf(format, w.in.called())})
	}
	years := wind.KnownDays() / 365
	switch {
	case len(c.Periods) > 0 && c.Corrected.Days == 0:
		add("record_elsewhen", "the record %q is of another time than what was read, or has gaps then: nothing can be corrected for the wind there was; add a "+
			"record of that time")
	case w.in.own() && w.e.LongTerm == nil && years < fewestYears && c.Corrected.Days > mostOfIt*c.Promised.Days:
		add("record_of_the_time", "the estimate is made of the record %q, which is of the time that was read and little else: the promise is one for that wind "+
			"already, and windiness is near 100 %% for no other reason")
	case !w.in.own() && years < fewestYears:
		add("record_short", "the record %q has less than two years: its own mean stands for the long run, and windiness is too near to 100 %%; take a longer record")
	}
	switch {
	case wind.Lacking() == 0:
	case len(w.h.Energy.MonthlyKWh) == 12:
		add("no_season", "the record %q lacks whole months: the estimate's seasons stand for its own, at the level of what it has")
	default:
		add("no_season", "the record %q lacks whole months, and the estimate knows none: how windy the season was that it has, compared with a whole year, is in doubt")
	}
	return out
}
