package yield

// HoursPerYear is a year of 365 days, the year of IEC 61400-12-1.
const HoursPerYear = 8760

// DaysInMonth is the days of each month of such a year, January first.
var DaysInMonth = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// AnnualKWh is a year's energy in kWh at a mean power in W.
func AnnualKWh(meanPowerW float64) float64 { return meanPowerW * HoursPerYear / 1000 }

// MonthKWh is a month's energy in kWh at a mean power in W; month 0 is January.
func MonthKWh(meanPowerW float64, month int) float64 {
	return meanPowerW * float64(24*DaysInMonth[month]) / 1000
}

// CapacityFactor is a year's energy in kWh over that of a rating in W made all year.
func CapacityFactor(annualKWh, ratedPowerW float64) float64 {
	return annualKWh / AnnualKWh(ratedPowerW)
}
