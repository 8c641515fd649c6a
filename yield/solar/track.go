package solar

import "math"

// track follows the sun along a record: it is computed exactly at the ends of each UTC day and taken as straight
// between, which moves declination and equation of time by less than 0.002°.
type track struct {
	place
	longitude float64 // rad
	day       int64   // since 1970; the one that ends holds
	ends      [2]dayEnd
	known     bool
}

type dayEnd struct{ declination, equation, normal float64 } // rad, rad, W/m²

func newTrack(site Site, azimuthDeg float64) track {
	return track{place: newPlace(site.LatitudeDeg, azimuthDeg), longitude: site.LongitudeDeg * rad}
}

func dayEndAt(day int64) dayEnd {
	unix := float64(day * secondsDay)
	e := ephemerisAt(unix)
	return dayEnd{e.declination, e.equationOfTime(unix), SolarConstant / (e.distance * e.distance)}
}

// reach makes the ends hold the day; days that follow each other cost one computation each.
func (t *track) reach(day int64) {
	switch {
	case t.known && day == t.day:
		return
	case t.known && day == t.day+1:
		t.ends[0] = t.ends[1]
	default:
		t.ends[0] = dayEndAt(day)
	}
	t.ends[1] = dayEndAt(day + 1)
	t.day, t.known = day, true
}

// stepSun is the sun of one averaging step.
type stepSun struct {
	up, ahead float64 // direction, the mean over the part of the step with the sun up
	share     float64 // of the step with the sun up; 0 when it is down, and then the rest is unset
	normal    float64 // extraterrestrial normal irradiance, W/m²
}

// extraterrestrial is the mean horizontal irradiance above the atmosphere over the whole step, W/m².
func (s *stepSun) extraterrestrial() float64 {
	if s.share <= 0 {
		return 0
	}
	return s.normal * s.up * s.share
}

// step is the sun over a step that begins at a Unix second and lasts lengthS seconds, no longer than an hour or two.
// Up means that the true centre is above a level horizon: refraction adds a few minutes of very low sun, which carry
// next to no energy, and parallax is nothing here.
func (t *track) step(begin, lengthS int64) stepSun {
	twice := 2*begin + lengthS // twice the middle of the step
	day := floorDiv(twice, 2*secondsDay)
	t.reach(day)
	x := float64(twice-2*secondsDay*day) / (2 * secondsDay)
	a, b := &t.ends[0], &t.ends[1]
	hour := math.Remainder((x-0.5)*2*math.Pi+a.equation+x*(b.equation-a.equation)+t.longitude, 2*math.Pi)
	sinDec, cosDec := math.Sincos(a.declination + x*(b.declination-a.declination))

	// The step is wholly up or down where the height in its middle leaves no doubt: the height changes by q·dω at most.
	p, q := t.sinPhi*sinDec, t.cosPhi*cosDec
	sinHour, cosHour := math.Sincos(hour)
	half := math.Pi * float64(lengthS) / secondsDay
	h, share := half, 1.0
	switch height := p + q*cosHour; {
	case height <= -q*half:
		return stepSun{}
	case height < q*half:
		set := sunset(p, q)
		from, to := max(hour-half, -set), min(hour+half, set)
		if set == math.Pi { // up all day, and low: across midnight
			from, to = hour-half, hour+half
		}
		if to <= from {
			return stepSun{}
		}
		middle := (from + to) / 2
		h = (to - from) / 2
		share = h / half
		sinHour, cosHour = math.Sincos(middle)
	}
	out := stepSun{share: share, normal: a.normal + x*(b.normal-a.normal)}
	// The mean of cos ω and sin ω over the sun-up part is their value in its middle times sin h / h.
	shrink := 1 - h*h/6*(1-h*h/20)
	out.up, out.ahead = t.direction(sinDec, cosDec, sinHour*shrink, cosHour*shrink)
	if out.up <= 0 { // a sliver of a step
		return stepSun{}
	}
	return out
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// monthOfDay is the month, 0 to 11, of a day since 1970 in the Gregorian calendar, with its year and day of the month.
func monthOfDay(day int64) (year int64, month, dayOfMonth int) {
	// Days from 1 March of year 0: a year that begins in March has its leap day at the end.
	z := day + 719468
	era := floorDiv(z, 146097)
	doe := z - era*146097
	yoe := (doe - doe/1460 + doe/36524 - doe/146096) / 365
	doy := doe - (365*yoe + yoe/4 - yoe/100)
	mp := (5*doy + 2) / 153
	dayOfMonth = int(doy-(153*mp+2)/5) + 1
	month = int(mp+2) % 12
	year = yoe + era*400
	if month < 2 {
		year++
	}
	return year, month, dayOfMonth
}

// dayOfYear1 is the day since 1970 of 1 January of a year.
func dayOfYear1(year int64) int64 {
	y := year - 1 // the March year that 1 January belongs to
	era := floorDiv(y, 400)
	yoe := y - era*400
	return era*146097 + yoe*365 + yoe/4 - yoe/100 + 306 - 719468
}
