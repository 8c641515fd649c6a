package form

import (
	"math"
	"strconv"
)

// Units are those of the fields.
type Units string

// The units there are: metres and metres a second, or feet, inches and miles an hour.
const (
	Metric Units = "metric"
	Feet   Units = "feet"
)

// UnitsOf reads a choice; what is none is Metric.
func UnitsOf(s string) Units {
	if s == string(Feet) {
		return Feet
	}
	return Metric
}

const (
	metresPerFoot = 0.3048  // exactly (international foot, 1959)
	metresPerInch = 0.0254  // exactly
	mphInMS       = 0.44704 // exactly, 1609.344 m in 3600 s
	perCent       = 0.01
)

// factor is how many of the document's units one of the field's is.
func (u Units) factor(k kind) float64 {
	switch {
	case k == aShare:
		return perCent
	case u != Feet:
		return 1
	}
	switch k {
	case aLength:
		return metresPerFoot
	case aSmallLength:
		return metresPerInch
	case aSpeed, aPairs:
		return mphInMS
	case perLength:
		return 1 / metresPerFoot
	case perLength2:
		return 1 / (metresPerFoot * metresPerFoot)
	}
	return 1
}

// sign is the unit behind a field's label; empty for none.
func (u Units) sign(k kind, currency string) string {
	feet := u == Feet
	pick := func(metric, imperial string) string {
		if feet {
			return imperial
		}
		return metric
	}
	switch k {
	case aLength:
		return pick("m", "ft")
	case aSmallLength:
		return pick("m", "in")
	case aSpeed:
		return pick("m/s", "mph")
	case aShare:
		return "%"
	case aMoney:
		return currency
	case perLength:
		return currency + pick("/m", "/ft")
	case perLength2:
		return currency + pick("/m²", "/ft²")
	}
	return ""
}

// exactDigits is how many digits a number keeps that is converted: more than any tape or meter has, few enough that ten metres,
// shown in feet and read again, are ten metres.
const exactDigits = 6

func rounded(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// inDocument is a typed number in the document's units. One so large that it has none there stays as it is, and is refused as it is.
func (u Units) inDocument(v float64, k kind) float64 {
	switch f := u.factor(k); {
	case f == 1 || math.IsInf(v*f, 0):
		return v
	case k == aShare:
		return rounded(v*f, 12)
	default:
		return rounded(v*f, exactDigits)
	}
}

// typed is a number of the document as one would type it: in as few digits as give the number again.
func (u Units) typed(v float64, k kind) string {
	f := u.factor(k)
	if f == 1 || math.IsInf(v/f, 0) {
		return plain(v)
	}
	if k == aShare {
		return plain(rounded(v/f, 12))
	}
	want := rounded(v, exactDigits)
	for digits := 1; digits < 12; digits++ {
		if s := rounded(v/f, digits); u.inDocument(s, k) == want {
			return plain(s)
		}
	}
	return plain(v / f)
}

// plain writes a number without an exponent where it is of a usual size.
func plain(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
