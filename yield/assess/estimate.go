package assess

import (
	"mastworth/resource"
	"mastworth/resource/extreme"
	"mastworth/resource/longterm"
	"mastworth/resource/terrain"
)

// Estimate is the whole answer. NaN numbers become null on the wire.
type Estimate struct {
	Request        Request // every default filled in
	BestHubHeightM float64 // the height with the cheapest kWh; NaN when no height makes any
	Heights        []Height
	Machine        *Machine // nil where the turbine's curve is given
	Profile        Profile
	LongTerm       *longterm.Result // nil where the request asks for none
	ExtremeWind    *extreme.Extreme // nil where there is none, and then why
	NoExtremeWind  string
	SpeedBins      *SpeedBins // at the best height, or the lowest; nil where the wind is not from a record
	Odds           *Odds      // nil where none are drawn
	Decision       Decision
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
	// Surroundings is nil where neither obstacles nor relief nor ground by sector are given.
	Surroundings *Surroundings
	Siting       []Siting // nil where no obstacle is given
	Energy       Energy
	Cost         Cost
	Solar        SolarArray
	Odds         *HeightOdds // nil where none are drawn
	Warnings     []Warning
}

// HeightWind is the wind at hub height.
type HeightWind struct {
	MeasuredAtM     float64 // the measuring height it was moved from
	MeanSpeedMS     float64
	PowerDensityWM2 float64
	AirDensityKgM3  float64
	HeightFactor    float64 // mean speed at the hub over mean speed where it was measured
	Weibull         WeibullFit
	Sectors         []Sector // nil where the source has no directions
	CalmShare       float64
}

// Surroundings is what trees, houses, relief and ground by sector do to the wind at a hub.
type Surroundings struct {
	ObstacleLossShare       float64 // of the mean speed, over the turbine's life
	ReliefGainShare         float64 // of the mean speed
	SpeedLowMS, SpeedHighMS float64 // mean speed at the two ends of the formulas' stated errors, all together
	AddedTurbulence         float64 // turbulence intensity from obstacles, weighed by time
	InMeasuredWind          bool    // the sensors stood among it: the measured wind has its share of loss and gain already
	Directions              [terrain.DirectionCount]DirectionEffects
}

// DirectionEffects are factors of speed, and turbulence added, for the wind from one direction.
type DirectionEffects struct {
	Ground          float64 // speed at the hub over the regional speed at 60 m; NaN where the profile is not logarithmic
	Obstacle        float64 // over the turbine's life
	Relief          float64
	AddedTurbulence float64
}

// Siting is one published siting rule, judged for one tower.
type Siting struct {
	Rule, Words, Source string
	Broken              bool
	By                  []string // the obstacles that break it
	LowestHubM          float64  // lowest hub height that satisfies it
}

// Profile is how the wind was moved in height.
type Profile struct {
	Method        ShearMethod // never auto
	Exponent      float64     // of the power law, or overall of the measured profile; NaN of the logarithmic law
	StandardError float64     // of a measured exponent; else NaN
	RoughnessM    float64     // of the site; or what the measured profile amounts to
	LowM, HighM   float64     // the heights it was measured at; else NaN
	Pairs         int
	Sectors       []SectorShear // of a measured profile; else nil
	Months        []MonthShear  // of a measured profile, January first; else nil
	Checks        []resource.ShearCheck
}

// MonthShear is the measured shear of one month, of all directions.
type MonthShear struct{ Night, Day resource.ShearClass }

// SectorShear is the measured shear of one sector, over the whole year.
type SectorShear struct {
	FromDeg, ToDeg float64
	Night, Day     resource.ShearClass
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
