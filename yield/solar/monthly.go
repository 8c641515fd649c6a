package solar

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// meanSun is the sun of a month's mean day.
type meanSun struct{ sinDec, cosDec, normal float64 }

// dayNode is one time of a mean day: the share of the half day from noon, −1 to 1, and its weight; they sum to 2.
type dayNode struct{ at, weight float64 }

var (
	meanSuns = func() (suns [12]meanSun) {
		for m, n := range MeanDays {
			s := &suns[m]
			s.sinDec, s.cosDec = math.Sincos(Declination(float64(n)) * rad)
			s.normal = SolarConstant * Eccentricity(float64(n))
		}
		return suns
	}()

	// dayNodes are Gauss–Legendre points: Abramowitz & Stegun 1964, table 25.4, n = 10. They give a day's sum as well as
	// hourly steps do, whatever the length of the day.
	dayNodes = [...]dayNode{
		{-0.973906528517172, 0.066671344308688}, {-0.865063366688985, 0.149451349150581},
		{-0.679409568299024, 0.219086362515982}, {-0.433395394129247, 0.269266719309996},
		{-0.148874338981631, 0.295524224714753}, {0.148874338981631, 0.295524224714753},
		{0.433395394129247, 0.269266719309996}, {0.679409568299024, 0.219086362515982},
		{0.865063366688985, 0.149451349150581}, {0.973906528517172, 0.066671344308688},
	}

	// afternoonNodes stand for the whole day where both halves are alike.
	afternoonNodes = func() (half [len(dayNodes) / 2]dayNode) {
		copy(half[:], dayNodes[len(half):])
		for i := range half {
			half[i].weight *= 2
		}
		return half
	}()
)

// day is the light of one month's mean day.
type day struct {
	sun                meanSun
	sunset             float64 // hour angle, rad
	extraterrestrial   float64 // kWh/m² a day on the horizontal
	p, q               float64 // cos θz = p + q·cos ω
	global, diffuse    float64 // kWh/m² a day on the horizontal
	airC, windMS, days float64
}

func (c *place) day(month int) day {
	d := day{sun: meanSuns[month], days: monthDays[month], windMS: DefaultWind}
	d.p, d.q = c.sinPhi*d.sun.sinDec, c.cosPhi*d.sun.cosDec
	d.sunset = sunset(d.p, d.q)
	d.extraterrestrial = max(0, 0.024*d.sun.normal/math.Pi*(d.q*math.Sin(d.sunset)+d.p*d.sunset))
	return d
}

// FromMonthly estimates the yield from twelve months' global irradiation on the horizontal, kWh/m², January first.
//
// Each month is its mean day (Klein 1977): diffuse share by Erbs, Klein & Duffie 1982; hours after Collares-Pereira &
// Rabl 1979 (global) and Liu & Jordan 1960 (diffuse); air by DefaultAir, wind DefaultWind. The longitude is not used.
// With best, the tilt of p is not read and the best one found, at p's azimuth. A month whose mean day has no sun counts
// as dark. Errors are *InputError, its field "ghi[3]" for April: more irradiation than reaches the top of the atmosphere
// is refused.
func FromMonthly(ghiKWhM2 [12]float64, site Site, p Plane, best bool, a Array) (Yield, error) {
	if err := check(site, p, best, a); err != nil {
		return Yield{}, err
	}
	c := newPlace(site.LatitudeDeg, p.AzimuthDeg)
	days := [12]day{}
	brightest := 0
	for m := range days {
		d := c.day(m)
		h := ghiKWhM2[m] / d.days
		// The mean day stands for its month within a tenth of a kWh even where the polar night ends.
		if !(h >= 0 && h <= d.extraterrestrial+0.1) {
			return Yield{}, wrong(fmt.Sprintf("ghi[%d]", m), "must lie within 0 and the %.0f kWh/m² that reach the top of "+
				"the atmosphere in that month at latitude %g, not %g; is it in MJ, or does the year begin in another month?",
				d.extraterrestrial*d.days, site.LatitudeDeg, ghiKWhM2[m])
		}
		d.global = h
		days[m] = d
		if clearness(&days[m]) > clearness(&days[brightest]) {
			brightest = m
		}
	}
	y := fromDays(&c, &days, site, p, best, &a, BasisMonthly)
	y.Warnings = append(y.Warnings, warnAir("the monthly sums come without temperature"))
	if k := clearness(&days[brightest]); k > highClearness && days[brightest].extraterrestrial > 1 {
		y.Warnings = append(y.Warnings, warnBright(k))
	}
	return y, nil
}

// highClearness is above what any month anywhere shows; deserts and high plateaus reach 0.75 (from memory).
const highClearness = 0.8

func clearness(d *day) float64 {
	if d.extraterrestrial <= 0 {
		return 0
	}
	return d.global / d.extraterrestrial
}

// fromDays is the common end of all bases without hours: split, spread over the day, sum.
func fromDays(c *place, days *[12]day, site Site, p Plane, best bool, a *Array, basis string) Yield {
	var room [12 * len(dayNodes)]sample
	samples := room[:0]
	nodes := dayNodes[:]
	if math.Abs(c.sinAz) < 1e-9 { // facing due north or south, the morning repeats the afternoon
		nodes = afternoonNodes[:]
	}
	for m := range days {
		d := &days[m]
		if d.sunset <= 0 || d.extraterrestrial <= 0 || d.global <= 0 {
			continue
		}
		d.diffuse = d.global * MonthlyDiffuseShare(clearness(d), d.sunset/rad)
		d.airC = DefaultAir(site.LatitudeDeg, site.ElevationM, float64(MeanDays[m]))
		n := len(samples)
		samples = samples[:n+len(nodes)]
		d.spread(c, a, nodes, samples[n:])
		for i := n; i < len(samples); i++ {
			samples[i].month = m
		}
	}
	sum := yearSum{array: a, glass: a.glass(), samples: samples}
	return sum.yield(p, best, basis)
}

// spread lays the day's global and diffuse irradiation along the hours: Duffie & Beckman (2.13.2) and (2.13.4), scaled
// so that the day's sums are kept. out has a sample for each node, all fields but the month set.
func (d *day) spread(c *place, a *Array, nodes []dayNode, out []sample) {
	sin60 := math.Sin(d.sunset - math.Pi/3)
	ca, cb := 0.409+0.5016*sin60, 0.6609-0.4767*sin60
	cosSet := math.Cos(d.sunset)
	var global, diffuse [len(dayNodes)]float64
	sumGlobal, sumDiffuse := 0.0, 0.0
	toHours := d.sunset * 12 / math.Pi
	for i, n := range nodes {
		sinHour, cosHour := math.Sincos(n.at * d.sunset)
		s := &out[i]
		s.up, s.ahead = c.direction(d.sun.sinDec, d.sun.cosDec, sinHour, cosHour)
		diffuse[i] = cosHour - cosSet
		global[i] = max(0, (ca+cb*cosHour)*diffuse[i])
		s.hours = n.weight * toHours
		sumGlobal += global[i] * s.hours
		sumDiffuse += diffuse[i] * s.hours
	}
	scaleGlobal, scaleDiffuse := 1000*d.global/sumGlobal, 1000*d.diffuse/sumDiffuse
	for i := range nodes {
		s := &out[i]
		up := max(s.up, 1e-4)
		g := global[i] * scaleGlobal
		light := Sky{CosZenith: up, Extraterrestrial: d.sun.normal, DiffuseHorizontal: min(g, diffuse[i]*scaleDiffuse)}
		light.DirectNormal = (g - light.DiffuseHorizontal) / up
		s.parts = light.Parts(a.Sky)
		s.ground = g * a.Albedo
		s.hours *= d.days
		a.warm(s, d.airC, d.windMS)
	}
}

func check(site Site, p Plane, best bool, a Array) error {
	if err := site.check(false); err != nil {
		return err
	}
	if err := p.check(best); err != nil {
		return err
	}
	return a.Validate()
}

func warnAir(why string) resource.Warning {
	return resource.Warning{Code: "solar_temperature_assumed", Detail: why + ": air temperature is assumed from the " +
		"latitude and elevation, within about 6 K, which is 2.5 % of the yield"}
}
