package resource

import (
	"errors"
	"fmt"
	"math"
)

// SectorCount is the number of direction sectors Describe uses.
const SectorCount = 12

// histogramWidth is the width of the bins of Statistics.Histogram, m/s, that of IEC 61400-12-1.
const histogramWidth = 0.5

// fewestDaysOfMonth is how much of a calendar month, in days over all years together, usable speeds must cover for the
// month to count in MeanOfMonths. Judgement.
const fewestDaysOfMonth = 10

// ErrNotSpeed says that a channel asked about does not hold wind speed.
var ErrNotSpeed = errors.New("not a speed channel")

// PeriodStat is the wind of one calendar month, or of one hour of the day, over the whole record.
type PeriodStat struct {
	N            int     // usable speeds
	Mean         float64 // m/s; NaN where there are none
	MeanCube     float64 // m³/s³; NaN where there are none
	Completeness float64 // share of the period's time within the record that usable speeds cover; NaN where it has none
}

// SectorStat is the wind from one sector of directions. Calms have no direction and are in none.
type SectorStat struct {
	FromDeg, ToDeg float64 // clockwise; the first of 12 is centred on north and runs from 345 to 15 degrees
	N              int     // usable non-calm speeds with a usable direction in the sector
	Share          float64 // of those of all sectors
	Mean           float64 // m/s; NaN where there are none
	MeanCube       float64 // m³/s³; NaN where there are none
	Fit            *Fit    // by maximum likelihood; nil where FitSpeeds refuses, as it does fewer than FewestToFit speeds
}

// Statistics is what a record says about the wind at one height. Numbers that the data do not give are NaN. A speed is
// usable if it is present and not flagged. Calms, speeds of exactly zero, count in every mean.
type Statistics struct {
	Channel string  // the channel's name
	HeightM float64 // m above ground; NaN where unknown

	N            int     // usable speeds
	Missing      int     // stamps without a value, and steps absent between stamps
	Flagged      int     // values present but flagged
	Completeness float64 // share of the time from the first stamp to the end of the last step that usable speeds cover

	Mean float64 // of all usable speeds, m/s
	// MeanOfMonths is the mean of the calendar months' means, each weighed by the month's length, m/s: where some months
	// are measured more often or more fully than others, it leans on none. Only months covered for at least 10 days
	// (over all years together) count; it stands for a year only where MonthsCounted is 12, and is NaN without any.
	MeanOfMonths  float64
	MonthsCounted int
	SD            float64 // with n−1, m/s
	MeanCube      float64 // m³/s³
	Max           float64 // m/s
	CalmShare     float64 // share of usable speeds that are zero
	// AirDensity, kg/m³, is that of the mean temperature, pressure and humidity the record holds, and of the standard
	// atmosphere at its place (sea level where that is unknown) for those it does not.
	AirDensity   float64
	PowerDensity float64 // half the air density times MeanCube, W/m²

	Fit      Fit   // by maximum likelihood; zero where FitError is not nil
	FitError error // why FitSpeeds refused, or nil

	Sectors   []SectorStat   // 12 of them; nil where no usable speed has a direction
	Months    [12]PeriodStat // January first
	Hours     [24]PeriodStat // by hour of local standard time in which the step begins
	Histogram Histogram      // of all usable speeds, in bins of 0.5 m/s
}

// Describe computes the statistics of a speed channel of a record, given by its place in s.Channels. Directions are
// taken from the direction channel nearest in height. Missing and flagged values are left out and counted; a record
// without any usable speed gives NaNs and a FitError. It fails with ErrNotSpeed for a channel of another quantity and
// panics for a place that is not in s.Channels.
func Describe(s *Series, channel int) (Statistics, error) {
	c := &s.Channels[channel]
	if c.Quantity != Speed {
		return Statistics{}, fmt.Errorf("%w: channel %q holds %s", ErrNotSpeed, c.Name, c.Quantity)
	}
	g := gather(s, c)
	st := Statistics{
		Channel: c.Name, HeightM: c.HeightM,
		N: len(g.speeds), Missing: g.missing, Flagged: g.flagged,
		AirDensity: recordDensity(s, c.HeightM),
		Histogram:  NewHistogram(g.speeds, histogramWidth),
	}
	g.all.into(&st)
	st.PowerDensity = 0.5 * st.AirDensity * st.MeanCube
	st.periods(s, g)
	st.Fit, st.FitError = FitSpeeds(g.speeds, MaximumLikelihood)
	st.Sectors = g.sectorStats()
	return st, nil
}

// periods finishes months, hours and what rests on them.
func (st *Statistics) periods(s *Series, g *gathered) {
	first, end := s.span()
	covered := int64(0)
	weight, sum := 0.0, 0.0
	for m := range st.Months {
		t := &g.months[m]
		covered += t.covered
		st.Months[m] = t.stat(monthTime(m, first, end))
		if t.covered >= fewestDaysOfMonth*secondsPerDay {
			st.MonthsCounted++
			weight += monthDays[m]
			sum += monthDays[m] * st.Months[m].Mean
		}
	}
	st.MeanOfMonths = sum / weight
	st.Completeness = share(covered, end-first)
	for h := range st.Hours {
		st.Hours[h] = g.hours[h].stat(hourTime(h, first, end))
	}
}

// recordDensity is the density of the air over a record, kg/m³.
func recordDensity(s *Series, heightM float64) float64 {
	elevation := 0.0
	if s.Place != nil && !math.IsNaN(s.Place.ElevationM) {
		elevation = s.Place.ElevationM
	}
	if !math.IsNaN(heightM) {
		elevation += heightM
	}
	temperature, pressure, _ := StandardAir(elevation)
	of := func(q Quantity, otherwise float64) float64 {
		if i := s.Find(q, heightM); i >= 0 {
			if m := s.Channels[i].mean(); !math.IsNaN(m) {
				return m
			}
		}
		return otherwise
	}
	return AirDensity(of(Temperature, temperature), of(Pressure, pressure), of(Humidity, math.NaN()))
}
