package solar

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// FromSeries estimates the yield from a record with irradiance: global horizontal, or direct normal and diffuse, or any
// two or all three of them, at steps of an hour or less, over at least eleven months of the year (ErrTooShort).
//
// Each step takes the sun's mean direction over its sun-up part. Global alone is split by Erbs et al. 1982; two of the
// three give the third by closure, bounded at low sun. Air temperature and wind are the record's where it has them, else
// DefaultAir and DefaultWind, with a warning. What is missing is filled by the mean ratio of power to extraterrestrial
// irradiation in the same month and hour of the day, and said. Flagged values are not used; values beyond what is
// physically possible are left out and counted in a warning.
//
// The site's sun must be that of the place where the irradiance was recorded. With best, the tilt of p is not read and
// the best one found, at p's azimuth. Errors wrap ErrStep, ErrNoIrradiance or ErrTooShort, or are *InputError.
func FromSeries(s *resource.Series, site Site, p Plane, best bool, a Array) (Yield, error) {
	return along(s, site, p, best, a, nil)
}

// along is FromSeries, and fills in the powers of the steps where they are asked for.
func along(s *resource.Series, site Site, p Plane, best bool, a Array, steps *StepYield) (Yield, error) {
	if err := check(site, p, best, a); err != nil {
		return Yield{}, err
	}
	if err := site.check(true); err != nil {
		return Yield{}, err
	}
	if s.Kind == resource.Daily || s.StepS > 3600 || s.StepS <= 0 {
		return Yield{}, fmt.Errorf("%w: the record's steps are %d s; give monthly sums instead", ErrStep, s.StepS)
	}
	r := reading{series: s, site: site, array: &a, track: newTrack(site, p.AzimuthDeg), steps: steps}
	if !r.open() {
		return Yield{}, fmt.Errorf("%w: the record has neither global irradiance nor direct and diffuse", ErrNoIrradiance)
	}
	r.read()
	if len(r.samples) == 0 {
		return Yield{}, r.doubt(fmt.Errorf("%w: no step of the record has usable irradiance while the sun is up", ErrNoIrradiance))
	}
	year, _, _ := monthOfDay(floorDiv(s.Times[len(s.Times)/2]+s.UTCOffsetS, secondsDay))
	whole := nominalYear(&r.track, year, s.UTCOffsetS)
	factor, missing, err := fillYear(&whole, &r.present)
	if err != nil {
		return Yield{}, r.doubt(err)
	}
	for i := range r.samples {
		x := &r.samples[i]
		x.hours *= factor[x.month][r.hours[i]]
	}
	sum := yearSum{array: &a, glass: a.glass(), samples: r.samples}
	y := sum.yield(p, best, BasisRecord)
	y.Warnings = r.warnings(missing)
	if steps != nil {
		steps.fill(&sum, y.Plane, &r)
	}
	return y, nil
}

// reading turns a record into samples.
type reading struct {
	series *resource.Series
	site   Site
	array  *Array
	track  track

	global, direct, diffuse column
	air, wind               column
	windFactor              float64
	monthAir                [12]float64 // the record's own mean where it has one, else DefaultAir
	pressureShare           float64     // of sea level, by elevation

	samples []sample
	hours   []uint8    // the hour of the day of each sample, local standard time
	steps   *StepYield // nil where only the year is wanted
	at      []lit      // of each sample, where steps are wanted
	present cells

	counts       [sourceWrong + 1]int // steps with the sun up, by source
	noAir        int                  // samples whose air temperature is not the record's
	noWind       int
	globalSum    float64 // W/m² summed over steps with all three, as given and as added up
	closureSum   float64
	nightSum     float64 // W/m² of global irradiance while the sun is down, and in all
	allGlobalSum float64
}

// open finds the channels; false where no irradiance can be had from them.
func (r *reading) open() bool {
	s := r.series
	r.global = fullest(s, resource.GlobalHorizontal, 0)
	r.direct = fullest(s, resource.DirectNormal, 0)
	r.diffuse = fullest(s, resource.DiffuseHorizontal, 0)
	r.air = fullest(s, resource.Temperature, 2)
	r.wind = fullest(s, resource.Speed, 3)
	if r.wind.channel != nil {
		r.windFactor = windAtModules(r.wind.channel.HeightM)
	}
	r.pressureShare = 1
	if e := r.site.ElevationM; e == e {
		r.pressureShare = math.Exp(-e / 8434) // scale height at 15 °C
	}
	return s.Len() > 0 && (r.global.channel != nil || r.direct.channel != nil && r.diffuse.channel != nil)
}

func (r *reading) read() {
	s := r.series
	n := s.Len()
	r.samples = make([]sample, 0, min(n/2+n/16+16, n))
	r.hours = make([]uint8, 0, cap(r.samples))
	if r.steps != nil {
		r.at = make([]lit, 0, cap(r.samples))
	}
	r.meanAir()
	hours := float64(s.StepS) / 3600
	local := clock{offset: s.UTCOffsetS}
	for i, begin := range s.Times {
		sun := r.track.step(begin, s.StepS)
		given := light{r.global.at(i), r.direct.at(i), r.diffuse.at(i)}
		if given.global > 0 {
			r.allGlobalSum += given.global
			if sun.share <= 0 {
				r.nightSum += given.global
			}
		}
		if sun.share <= 0 {
			continue
		}
		l, how := given.complete(&sun, r.pressureShare)
		r.counts[how]++
		if r.steps != nil {
			r.steps.PowerW[i] = math.NaN()
		}
		if how == sourceNone || how == sourceWrong {
			continue
		}
		if how == sourceAll {
			r.globalSum += l.global
			r.closureSum += l.direct*sun.up + l.diffuse
		}
		month, hour := local.at(begin + s.StepS/2)
		r.present[month][hour] += sun.extraterrestrial() * hours
		r.add(i, &sun, l, hours, month, hour)
	}
}

// add makes one sample: irradiances over the sun-up part of the step, so that clearness and temperature are right at
// sunrise and sunset too.
func (r *reading) add(i int, sun *stepSun, l light, hours float64, month, hour int) {
	x := sample{up: sun.up, ahead: sun.ahead, hours: hours * sun.share, month: month}
	sky := Sky{
		DirectNormal: l.direct / sun.share, DiffuseHorizontal: l.diffuse / sun.share,
		CosZenith: sun.up, Extraterrestrial: sun.normal,
	}
	x.parts = sky.Parts(r.array.Sky)
	x.ground = r.array.Albedo * l.global / sun.share
	air, wind := r.airAt(i), r.wind.within(i, 0, 100)*r.windFactor
	if air != air {
		air = r.monthAir[month]
		r.noAir++
	}
	if wind != wind {
		wind = DefaultWind
		r.noWind++
	}
	r.array.warm(&x, air, wind)
	r.samples = append(r.samples, x)
	r.hours = append(r.hours, uint8(hour))
	if r.steps != nil {
		r.at = append(r.at, lit{i, sun.share})
	}
}

// airAt is the air's temperature at a step, °C; NaN where missing or beyond what the Earth's surface has known.
func (r *reading) airAt(i int) float64 { return r.air.within(i, -90, 60) }

// meanAir fills monthAir, which stands in for single missing temperatures.
func (r *reading) meanAir() {
	for m, n := range MeanDays {
		r.monthAir[m] = DefaultAir(r.site.LatitudeDeg, r.site.ElevationM, float64(n))
	}
	if r.air.channel == nil {
		return
	}
	var sum, n [12]float64
	local := clock{offset: r.series.UTCOffsetS}
	for i, t := range r.series.Times {
		if v := r.airAt(i); v == v {
			m, _ := local.at(t)
			sum[m] += v
			n[m]++
		}
	}
	for m := range n {
		if n[m] > 0 {
			r.monthAir[m] = sum[m] / n[m]
		}
	}
}

// clock gives month and hour in local standard time; times of one day after another cost one division each.
type clock struct {
	offset int64
	day    int64
	month  int
	known  bool
}

func (c *clock) at(unix int64) (month, hour int) {
	t := unix + c.offset
	day := floorDiv(t, secondsDay)
	if !c.known || day != c.day {
		c.day, c.known = day, true
		_, c.month, _ = monthOfDay(day)
	}
	return c.month, int(t-day*secondsDay) / 3600
}
