package solar

// Steps lets tests see the sun of a site's steps: mean horizontal and normal irradiance above the atmosphere, W/m², the
// normal one over the part of the step with the sun up, the cosine of the zenith, and that part.
func Steps(site Site) func(begin, lengthS int64) (horizontal, normal, cosZenith, share float64) {
	t := newTrack(site, 180)
	return func(begin, lengthS int64) (horizontal, normal, cosZenith, share float64) {
		s := t.step(begin, lengthS)
		return s.extraterrestrial(), s.normal, s.up, s.share
	}
}

// BestTilt lets tests search their own curves.
var BestTilt = bestTilt

// MonthOfDay and DayOfYear1 let tests hold the calendar against the standard library.
var (
	MonthOfDay = monthOfDay
	DayOfYear1 = dayOfYear1
)
