package page

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"mastworth/api/chart"
	"mastworth/openapi"
)

// Units are those a visitor wants lengths and speeds told in. The zero value is metres and metres a second. Documents are in SI
// whatever a page tells them in; money is in the currency that the request names.
type Units struct{ Feet bool } // feet and miles an hour

// The words of the choice, in a query, a form and a cookie.
const (
	UnitsMetric = "metric"
	UnitsFeet   = "feet"
)

// UnitsOf reads a choice; ok is false where it is none.
func UnitsOf(word string) (u Units, ok bool) {
	return Units{Feet: word == UnitsFeet}, word == UnitsFeet || word == UnitsMetric
}

// Word is the choice's word.
func (u Units) Word() string {
	if u.Feet {
		return UnitsFeet
	}
	return UnitsMetric
}

// Query is what an address needs for the same units, with its question mark; nothing for metric ones.
func (u Units) Query() string {
	if u.Feet {
		return "?units=" + UnitsFeet
	}
	return ""
}

// Choices are the units to choose between.
func (u Units) Choices() []Choice {
	return []Choice{{UnitsMetric, Text("units.metric"), !u.Feet}, {UnitsFeet, Text("units.feet"), u.Feet}}
}

const (
	metresPerFoot = 0.3048  // exactly (international foot, 1959)
	mphInMS       = 0.44704 // exactly, 1609.344 m in 3600 s
)

// In are the units of charts, which have a currency.
func (u Units) In(currency string) chart.Units {
	return chart.Units{FeetAndMph: u.Feet, Currency: currency}
}

// length is a height or a distance, which the document has in metres.
func (u Units) length(m *float64) string {
	if m == nil || !u.Feet {
		return metres(m)
	}
	v, decimals := *m/metresPerFoot, 0
	if math.Abs(v) < 9.95 && math.Abs(v-math.Round(v)) > 0.05 {
		decimals = 1
	}
	return unit(Number(v, decimals), "ft")
}

// lengthSign is the unit of lengths.
func (u Units) lengthSign() string {
	if u.Feet {
		return "ft"
	}
	return "m"
}

// speed is a speed with its unit, speedFigure without.
func (u Units) speed(ms *float64) string { return unit(u.speedFigure(ms), u.SpeedSign()) }

func (u Units) speedFigure(ms *float64) string {
	if ms == nil || !u.Feet {
		return three(ms)
	}
	v := *ms / mphInMS
	return three(&v)
}

// SpeedSign is the unit of speeds.
func (u Units) SpeedSign() string {
	if u.Feet {
		return "mph"
	}
	return "m/s"
}

// inSpeed is a speed in m/s as a number in the unit of speeds.
func (u Units) inSpeed(ms float64) float64 {
	if u.Feet {
		return ms / mphInMS
	}
	return ms
}

// speedTo is a speed with its unit and so many decimals.
func (u Units) speedTo(ms *float64, decimals int) string {
	return unit(Number(u.inSpeed(orNaN(ms)), decimals), u.SpeedSign())
}

// measured finds lengths in metres and speeds in metres a second in a sentence, one by one or several with one unit, such as "from 3 to
// 5 m/s" and "7.2, 6.3 or 3.9 m/s".
var (
	measured = regexp.MustCompile(`((?:\d+(?:\.\d+)?(?:, (?:or |and )?| to | and | or |–))*\d+(?:\.\d+)?)([ \x{a0}])(m/s|m)\b`)
	figures  = regexp.MustCompile(`\d+(?:\.\d+)?`)
)

// inBoth finds the metres told behind feet, and feetBehind the feet told behind metres.
var (
	inBoth     = regexp.MustCompile(`( ft) \(\d+(?:\.\d+)?(?: to \d+(?:\.\d+)?)? m\)`)
	feetBehind = regexp.MustCompile(`\d+(?:\.\d+)? m \((\d+ ft)\)`)
)

// Roughness lengths are in metres whatever the page: tables of them are, and the form asks for them so.
var (
	roughnessBefore = regexp.MustCompile(`roughness(?: length)?(?: of)?[ \x{a0}]$`)
	roughnessBehind = regexp.MustCompile(`^, of the cover class`)
)

// sentence makes one of words that were written in SI to be part of one.
func (u Units) sentence(words string) string { return sentence(u.words(words)) }

// Words are words that were written in SI, for pages that are made elsewhere.
func (u Units) Words(in string) string { return u.words(in) }

// words are words that were written in SI, in the page's own spelling.
func (u Units) words(in string) string {
	in = plainly(in)
	if !u.Feet {
		return in
	}
	return outsideQuotes(in, inFeet)
}

// inFeet tells lengths and speeds in feet and miles an hour.
func inFeet(in string) string {
	in = strings.ReplaceAll(in, "(m/s)", "(mph)")
	in = feetBehind.ReplaceAllString(inBoth.ReplaceAllString(in, "$1"), "$1")
	var out strings.Builder
	done := 0
	for _, at := range measured.FindAllStringSubmatchIndex(in, -1) {
		part := func(i int) string { return in[at[2*i]:at[2*i+1]] }
		if rest := in[at[1]:]; strings.HasPrefix(rest, "²") || strings.HasPrefix(rest, "³") || strings.HasPrefix(rest, "/") {
			continue // not a length
		}
		if roughnessBefore.MatchString(in[:at[0]]) || roughnessBehind.MatchString(in[at[1]:]) {
			continue
		}
		each, sign := metresPerFoot, "ft"
		if part(3) == "m/s" {
			each, sign = mphInMS, "mph"
		}
		out.WriteString(in[done:at[0]] + figures.ReplaceAllStringFunc(part(1), func(n string) string { return converted(n, each) }) + part(2) + sign)
		done = at[1]
	}
	return out.String() + in[done:]
}

// exactly has words with rounded speeds, printed so, tell the document's own ones instead where they are told in another unit: a speed that is
// rounded twice differs from the one in a table beside it.
func (u Units) exactly(words, printed string, speeds ...*float64) string {
	if !u.Feet {
		return words
	}
	for _, v := range speeds {
		if v != nil {
			words = strings.ReplaceAll(words, " "+fmt.Sprintf(printed, *v)+" m/s", " "+strconv.FormatFloat(*v, 'f', 4, 64)+" m/s")
		}
	}
	return words
}

func converted(number string, each float64) string {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return number
	}
	v /= each
	if each == metresPerFoot && v >= 9.95 {
		return Number(v, 0) // as length tells it
	}
	return three(&v)
}

// shownEstimate is an estimate with the units it is told in.
type shownEstimate struct {
	*openapi.Estimate
	Units
}
