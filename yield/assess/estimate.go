package assess

import (
	"mastworth/resource"
)

// Estimate is the whole answer. NaN numbers become null on the wire.
type Estimate struct {
	Request        Request // every default filled in
	BestHubHeightM float64 // the height with the cheapest kWh; NaN when no height makes any
	Heights        []Height
	Verdict        Verdict
	Warnings       []Warning
	Cautions       []Caution
	Provenance     []Provenance
	Seed           uint64
}

// Height is the answer for one tower.
type Height struct {
	HubHeightM float64
	Wind       HeightWind
	Energy     Energy
	Cost       Cost
	Solar      SolarArray
	Warnings   []Warning
}

// HeightWind is the wind at hub height.
type HeightWind struct {
	MeanSpeedMS     float64
	PowerDensityWM2 float64
	AirDensityKgM3  float64
	HeightFactor    float64 // mean speed at the hub over mean speed where it was measured
	Weibull         WeibullFit
	Sectors         []Sector // nil where the source has no directions
	CalmShare       float64
}

// WeibullFit is a Weibull distribution of the non-calm speeds. Standard errors are NaN where the fit has none.
type WeibullFit struct {
	Shape, ScaleMS, ShapeSE, ScaleSEMS float64
	Method                             string
}

// Sector is one direction sector.
type Sector struct {
	FromDeg, ToDeg float64
	Share          float64 // of the time that has a direction and is not calm
	MeanSpeedMS    float64
	Weibull        *WeibullFit // nil where too few values
}

// Energy is a year's energy.
type Energy struct {
	GrossKWh        float64
	NetKWh          float64
	CapacityFactor  float64
	WeibullGrossKWh float64
	Basis           string // "series", "histogram" or "weibull"
	Losses          []Loss
	MonthlyKWh      []float64 // twelve months' net energy, or nil
}

// Loss is one link of the loss chain: the share lost of what reaches it, and the kWh that is.
type Loss struct {
	Name  string
	Share float64
	KWh   float64
}

// Cost is the turbine's money at one height.
type Cost struct {
	Capital            float64
	YearlyEquivalent   float64
	PerKWh             float64 // NaN when there is no energy
	NPV                float64 // NaN without a price
	SimplePaybackYears float64 // NaN when it never pays back, or without a price
}

// SolarArray is the array of equal cost.
type SolarArray struct {
	ArrayKW       float64
	AnnualKWh     float64
	YieldKWhPerKW float64
	TiltDeg       float64
	AzimuthDeg    float64
	PerKWh        float64
	MonthlyKWh    []float64 // or nil
	Basis         string    // "hourly_irradiance", "monthly_irradiation", "yearly_irradiation", "specific_yield", "latitude"
}

// Verdict is the plain answer.
type Verdict struct {
	Answer  Answer
	Reasons []Reason
}

// Answer is the verdict in one word.
type Answer string

// The answers.
const (
	WorthIt    Answer = "worth_it"
	CloseCall  Answer = "close_call"
	NotWorthIt Answer = "not_worth_it"
	CannotSay  Answer = "cannot_say"
)

// Reason is one reason for a verdict.
type Reason struct{ Code, Detail string }

// Warning says which result leans on something weak, in words a builder can act on.
type Warning = resource.Warning

// Caution is a safety text.
type Caution struct{ Code, Text string }

// Provenance says where a number came from.
type Provenance struct{ What, Method, Source string }
