package chart

import "math"

// Units say how lengths and speeds are shown and what money is called. The zero value is metres, metres a second and no currency.
type Units struct {
	FeetAndMph bool
	Currency   string // as it stands beside an amount
}

const (
	metresPerFoot  = 0.3048   // exactly (international foot, 1959)
	metresPerMile  = 1609.344 // exactly, 5280 ft
	secondsPerHour = 3600
)

// lengths are shown heights or distances and their unit.
func (u Units) lengths(metres []float64) (shown []float64, unit string) {
	if u.FeetAndMph {
		return over(metres, metresPerFoot), wordFeet
	}
	return metres, wordMetres
}

func (u Units) length(metres float64) (float64, string) {
	shown, unit := u.lengths([]float64{metres})
	return shown[0], unit
}

// figureIn writes a shown number to read, in its unit: as figure does, but feet to a tenth, and from ten on whole, as people say them.
func figureIn(x float64, unit string) string {
	switch {
	case unit != wordFeet || !known(x):
		return figure(x)
	case math.Abs(x) >= 9.95:
		return figure(math.Round(x))
	}
	return short(x, 1)
}

// readLengths has a column of shown lengths read as figureIn writes them; files keep all their digits.
func readLengths(rows [][]cell, column int, unit string) {
	for _, r := range rows {
		r[column].text = figureIn(r[column].number, unit)
	}
}

// speeds are shown speeds and their unit.
func (u Units) speeds(metresPerSecond []float64) (shown []float64, unit string) {
	if u.FeetAndMph {
		return over(metresPerSecond, metresPerMile/secondsPerHour), wordMph
	}
	return metresPerSecond, wordMetresPerSecond
}

// money is a unit of money, so much "of" something; empty without a currency.
func (u Units) money(each string) string {
	switch {
	case u.Currency == "":
		return each
	case each == "":
		return u.Currency
	}
	return u.Currency + " " + each
}
