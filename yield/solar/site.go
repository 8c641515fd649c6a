package solar

import (
	"fmt"
	"math"
)

// Site is where the array stands.
type Site struct {
	LatitudeDeg  float64 // −90 to 90, north positive
	LongitudeDeg float64 // −180 to 360, east positive; used by FromSeries alone
	ElevationM   float64 // of the ground above sea level, m; NaN counts as sea level
}

// InputError says which argument is out of range, and why.
type InputError struct {
	Field  string // such as "latitude" or "ghi[3]"
	Reason string
}

// Error is the field and the reason in one line.
func (e *InputError) Error() string { return e.Field + ": " + e.Reason }

func wrong(field, format string, args ...any) error {
	return &InputError{Field: field, Reason: fmt.Sprintf(format, args...)}
}

// check tests the site; the longitude only where it is used.
func (s Site) check(longitude bool) error {
	if !(math.Abs(s.LatitudeDeg) <= 90) {
		return wrong("latitude", "must lie within -90 and 90 degrees, not %g", s.LatitudeDeg)
	}
	if longitude && !(s.LongitudeDeg >= -180 && s.LongitudeDeg <= 360) {
		return wrong("longitude", "must lie within -180 and 360 degrees, not %g", s.LongitudeDeg)
	}
	if math.IsInf(s.ElevationM, 0) {
		return wrong("elevation", "must be finite")
	}
	return nil
}
