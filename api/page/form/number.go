package form

import (
	"regexp"
	"strconv"
	"strings"

	"mastworth/api/page"
)

var (
	decimalComma  = regexp.MustCompile(`^[+-]?\d*,\d+$`)
	twoReadings   = regexp.MustCompile(`^([+-]?[1-9]\d{0,2}),(\d{3})$`)  // 12,345; while 0,345 is no thousands
	pointReadings = regexp.MustCompile(`^([+-]?[1-9]\d{0,2})\.(\d{3})$`) // 12.345, among numbers with a comma before decimals
	pointsAndOne  = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(?:\.\d{3})+,\d+$`)
	commasAndOne  = regexp.MustCompile(`^[+-]?[1-9]\d{0,2}(?:,\d{3})+\.\d+$`)
)

// number reads what was typed. Spaces between thousands and a true minus are let pass, and so is a comma before decimals; but not one that
// may as well part thousands. Where there are both, the last is the decimal one: 1.400,50 and 1,400.50.
func number(s string) (float64, bool) {
	s = withoutSpaces(s)
	if strings.ContainsAny(s, "xXpP_iInN") || twoReadings.MatchString(s) { // hexadecimal, infinities and what is no number
		return 0, false
	}
	switch {
	case decimalComma.MatchString(s):
		s = strings.Replace(s, ",", ".", 1)
	case pointsAndOne.MatchString(s):
		s = strings.ReplaceAll(strings.ReplaceAll(s, ".", ""), ",", ".")
	case commasAndOne.MatchString(s):
		s = strings.ReplaceAll(s, ",", "")
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && v-v == 0
}

func isNumberText(s string) bool {
	_, ok := number(s)
	return ok
}

// Number reads a number as the form does, for other pages; fault says in the page's words why it is none, and is empty where it is one.
func Number(s string) (v float64, fault string) {
	v, ok := number(s)
	if !ok {
		return 0, noNumber(s, false)
	}
	return v, ""
}

func withoutSpaces(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '\u00a0', '\u202f', '\u2009', '\t':
			return -1
		case '−':
			return '-'
		}
		return r
	}, s)
}

// hasDecimalComma reports whether a number was typed with a comma before decimals, which can be nothing else.
func hasDecimalComma(s string) bool {
	s = withoutSpaces(s)
	return decimalComma.MatchString(s) && !twoReadings.MatchString(s) || pointsAndOne.MatchString(s)
}

// commas reports whether somebody fills in the form with commas before decimals.
func (f *Form) commas() bool {
	for name, s := range f.typed {
		if hasDecimalComma(s) {
			if fd := fieldOf(name); fd != nil && fd.kind.isNumber() {
				return true
			}
		}
	}
	return false
}

// mayBeThousands reports whether a field may well hold some thousands. No place has so many degrees, no wind such a speed.
func (fd *field) mayBeThousands() bool {
	switch fd.kind {
	case aMoney, perLength, perLength2, aLength:
		return true
	case aNumber:
		return !strings.HasSuffix(fd.place, "_deg") && fd.place != "site.latitude" && fd.place != "site.longitude"
	}
	return false
}

// number reads what was typed into a field of a form that has commas before decimals, or not: among such, 2.500 may be some thousands.
func (fd *field) number(s string, commas bool) (float64, bool) {
	if commas && fd.mayBeThousands() && pointReadings.MatchString(withoutSpaces(s)) {
		return 0, false
	}
	return number(s)
}

// withComma writes a number as those do who have a comma before decimals, so that it cannot be read in two ways.
func withComma(s string) string {
	s = strings.Replace(s, ".", ",", 1)
	if twoReadings.MatchString(s) {
		s += "0"
	}
	return s
}

// What a number stands amidst, with a unit or a sign of money before or behind it.
var (
	oneNumber  = regexp.MustCompile(`[+-]?(?:\d[\d.,]*)?\d`)
	scientific = regexp.MustCompile(`^[+-]?[\d.,]+[eE][+-]?\d+$`)
	strange    = regexp.MustCompile(`[^\d.,;:+\-\s]`)
)

// noNumber says why a text is no number, where others have commas before decimals or not.
func noNumber(s string, commas bool) string {
	bare := withoutSpaces(s)
	if m := twoReadings.FindStringSubmatch(bare); m != nil {
		return page.Text("form.two_readings", s, m[1]+m[2], m[1]+"."+m[2])
	}
	if m := pointReadings.FindStringSubmatch(bare); m != nil && commas {
		return page.Text("form.two_readings_point", s, m[1]+m[2], strings.TrimSuffix(m[1]+","+strings.TrimRight(m[2], "0"), ","))
	}
	const most = 60
	if r := []rune(s); len(r) > most {
		return page.Text("form.no_number", string(r[:most])+"…")
	}
	found := oneNumber.FindAllString(bare, -1)
	switch {
	case len(found) == 0 || !strange.MatchString(bare) || scientific.MatchString(bare):
		return page.Text("form.no_number", s)
	case len(found) == 1 && isNumberText(found[0]):
		return page.Text("form.unit_in_number", s, found[0])
	}
	return page.Text("form.more_than_number", s)
}
