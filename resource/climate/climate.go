package climate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
)

// Options steer Of. The zero value is fit for use.
type Options struct {
	Sectors int // of the rose: 8, 12, 16 or 36; 0 means 12
	// ClassesMS is where the speed classes of the rose begin, m/s: from 0 and rising; the zero value means those of SpeedClasses.
	ClassesMS [speedClasses]float64
}

// The reasons for which Of refuses.
var (
	ErrSectors = errors.New("a rose has 8, 12, 16 or 36 sectors")
	ErrClasses = errors.New("classes of speed begin at 0 m/s and rise")
	ErrChannel = errors.New("no such channel in the record")
)

// Climate is what a record says about the wind at one height. A speed is used if it is present, not flagged, finite and
// not below zero. Calms, speeds of exactly zero, count in every mean and stand in no sector.
//
// The numbers without a qualifier are those to use: Evened where Uneven, else Plain. Where Uneven, sectors, hours and fits
// weigh every speed by its month too, so that they belong to the same mean; months, years, turbulence and gusts need none.
type Climate struct {
	Channel        string  // the speed channel's name
	HeightM        float64 // m above ground; NaN where unknown
	N              int     // speeds used
	Flagged        int     // values present but flagged, not used
	Completeness   float64 // share of the time from the first stamp to the end of the last step that they cover; NaN without a step
	AirDensityKgM3 float64 // of the record's mean temperature, pressure and humidity; of the standard atmosphere for those it lacks

	Average               // Evened where Uneven, else Plain
	Plain         Average // every speed counts the same
	Evened        Average // every calendar month counts by its length; as resource.Statistics.MeanOfMonths; NaN where no month counts
	MonthsCounted int     // calendar months covered for at least 10 days, over all years together: those in Evened
	// Uneven says that all twelve months count but some are measured more often or more fully than others: the weight that
	// evens them differs from 1 by more than 5 %.
	Uneven bool

	SectorCount     int       // of the rose
	Sectors         []Sector  // the first is centred on north; nil where no speed above zero has a direction
	Undirected      float64   // share of speeds above zero without a usable direction; NaN without speeds
	ClassesMS       []float64 // where the speed classes of Sector.SpeedShares begin, m/s; the last is open
	Months          [12]Period
	Hours           [24]Period      // by hour of local standard time in which the step begins
	MonthHours      [12][24]Period  // the daily course through the seasons
	Years           []YearStat      // rising; none for a typical year, whose months are of different years
	YearSpread      float64         // standard deviation of the means of the years covered for 90 %, as a share of their mean; NaN below 3 years
	Fits            []FitComparison // one a method, in the order of resource.FitMethods
	Turbulence      *Turbulence
	WhyNoTurbulence string // a sentence, where Turbulence is nil
	Gusts           *Gusts
	WhyNoGusts      string // a sentence, where Gusts is nil
	Warnings        []resource.Warning
}

// Average is the wind in four numbers, calms included. All are NaN without speeds.
type Average struct {
	MeanMS          float64 // m/s
	MeanCubeM3S3    float64 // m³/s³
	PowerDensityWM2 float64 // half the air density times the mean cube, W/m²
	CalmShare       float64 // share of speeds that are zero, 0 to 1
}

// Period is the wind of one month, of one hour of the day, or of one hour of the days of a month, over the whole record.
type Period struct {
	N            int     // speeds used
	MeanMS       float64 // m/s; NaN where there are none
	MeanCube     float64 // m³/s³; NaN where there are none
	Completeness float64 // share of the period's time within the record that they cover; NaN where it has none
}

// YearStat is the wind of one calendar year of local standard time, every speed counting the same.
type YearStat struct {
	Year         int
	N            int     // speeds used; a year without any is listed too if it lies between others
	Completeness float64 // share of the whole calendar year that they cover
	MeanMS       float64 // m/s; NaN where there are none
	MeanCube     float64 // m³/s³; NaN where there are none
}

// Of draws the climate of a speed channel of a record, given by its place in s.Channels. Directions are taken from the
// direction channel nearest in height, as resource.Describe does; turbulence and gusts from the channels that go with the
// speed channel (see Turbulence). A record without a usable speed gives NaNs and says so in Warnings. It fails with
// ErrChannel for a place that is not in s.Channels, with resource.ErrNotSpeed for a channel of another quantity, and with
// ErrSectors or ErrClasses. The record is not changed.
func Of(s *resource.Series, channel int, o Options) (Climate, error) {
	switch o.Sectors {
	case 0:
		o.Sectors = resource.SectorCount
	case 8, 12, 16, 36:
	default:
		return Climate{}, fmt.Errorf("%w, not %d", ErrSectors, o.Sectors)
	}
	if channel < 0 || channel >= len(s.Channels) {
		return Climate{}, fmt.Errorf("%w: place %d of %d, counted from 0", ErrChannel, channel, len(s.Channels))
	}
	c := &s.Channels[channel]
	if c.Quantity != resource.Speed {
		return Climate{}, fmt.Errorf("%w: channel %q holds %s", resource.ErrNotSpeed, c.Name, c.Quantity)
	}
	if o.ClassesMS == [speedClasses]float64{} {
		o.ClassesMS = classBegins
	}
	if o.ClassesMS[0] != 0 || !slices.IsSorted(o.ClassesMS[:]) {
		return Climate{}, fmt.Errorf("%w, not at %g", ErrClasses, o.ClassesMS)
	}
	g := gather(s, channel, &o)
	cl := Climate{
		Channel: c.Name, HeightM: c.HeightM, N: g.n, Flagged: g.flagged,
		AirDensityKgM3: density(s, c.HeightM), SectorCount: o.Sectors, ClassesMS: append([]float64(nil), o.ClassesMS[:]...),
		Undirected: float64(g.undirected) / float64(len(g.entries)),
	}
	weights := cl.average(g)
	cl.periods(s, g, &weights)
	cl.fits(g, &weights)
	cl.Turbulence, cl.WhyNoTurbulence = turbulence(s, g)
	cl.Gusts, cl.WhyNoGusts = gusts(s, g)
	cl.warn(s, g)
	return cl, nil
}

// average fills the averages, and returns the weight of a speed of each month: 1 where the record is even.
func (cl *Climate) average(g *gathered) (weights [12]float64) {
	var even, evening [12]float64
	length, n := 0.0, 0
	for m := range even {
		even[m] = 1
		if g.months[m].covered >= fewestDaysOfMonth*secondsPerDay {
			cl.MonthsCounted++
			length += monthDays[m]
			n += g.months[m].n
		}
	}
	for m := range evening {
		if t := &g.months[m]; t.covered >= fewestDaysOfMonth*secondsPerDay {
			evening[m] = monthDays[m] / length * float64(n) / float64(t.n)
			cl.Uneven = cl.Uneven || math.Abs(evening[m]-1) > unevenFrom
		}
	}
	cl.Uneven = cl.Uneven && cl.MonthsCounted == 12
	cl.Plain, cl.Evened = g.averageOf(&even, cl.AirDensityKgM3), g.averageOf(&evening, cl.AirDensityKgM3)
	cl.Average = cl.Plain
	if cl.Uneven {
		cl.Average = cl.Evened
		return evening
	}
	return even
}

func (g *gathered) averageOf(weights *[12]float64, density float64) Average {
	var n, calm, sum, cubes float64
	for m, w := range weights {
		t := &g.months[m]
		n += w * float64(t.n)
		calm += w * float64(t.calm)
		sum += w * t.sum
		cubes += w * t.cubes
	}
	return Average{MeanMS: sum / n, MeanCubeM3S3: cubes / n, PowerDensityWM2: 0.5 * density * cubes / n, CalmShare: calm / n}
}

// density is the density of the air over a record, kg/m³, by the rule of resource.Statistics.AirDensity.
func density(s *resource.Series, heightM float64) float64 {
	elevation := 0.0
	if s.Place != nil && !math.IsNaN(s.Place.ElevationM) {
		elevation = s.Place.ElevationM
	}
	if !math.IsNaN(heightM) {
		elevation += heightM
	}
	temperature, pressure, _ := resource.StandardAir(elevation)
	of := func(q resource.Quantity, otherwise float64) float64 {
		i := s.Find(q, heightM)
		if i < 0 {
			return otherwise
		}
		c := &s.Channels[i]
		sum, n := 0.0, 0
		for i, v := range c.Values {
			if v == v && (c.Flags == nil || c.Flags[i] == 0) {
				sum += v
				n++
			}
		}
		if n == 0 {
			return otherwise
		}
		return sum / float64(n)
	}
	return resource.AirDensity(of(resource.Temperature, temperature), of(resource.Pressure, pressure),
		of(resource.Humidity, math.NaN()))
}
