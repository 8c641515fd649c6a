package solar

import (
	"errors"

	"mastworth/resource"
)

// The words Yield.Basis can hold.
const (
	BasisRecord   = "hourly_irradiance"
	BasisMonthly  = "monthly_irradiation"
	BasisYearly   = "yearly_irradiation"
	BasisLatitude = "latitude"
)

// Methods names what an estimate stands on, for its provenance, with the default sky.
const Methods = "sun position Meeus 1998 (VSOP87, shortened); split Erbs et al. 1982; tilted sky Hay & Davies 1980; " +
	"incidence Martin & Ruiz 2001; cell temperature Faiman 2008"

// Why a record cannot be used. Errors of FromSeries wrap one of these; test with errors.Is.
var (
	ErrTooShort     = errors.New("too short for a year of sun")
	ErrStep         = errors.New("averaging step longer than an hour")
	ErrNoIrradiance = errors.New("no irradiance")
)

// Yield is what one kilowatt of modules makes in a year of 365 days.
type Yield struct {
	KWhPerKW              float64   // kWh a year at the socket, per kW of rated power
	MonthlyKWhPerKW       []float64 // twelve months, January first; they sum to KWhPerKW
	PlaneIrradiationKWhM2 float64   // irradiation on the plane of the array, kWh/m² a year, before any loss
	Plane                 Plane     // the plane used: as asked, or with the best tilt
	Basis                 string    // one of the Basis words
	Warnings              []resource.Warning
}
