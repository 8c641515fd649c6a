package bins

import (
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// Log is a record of a machine at work, one row a step. A channel that was not recorded is nil; a value that is missing is
// NaN. Power is taken from PowerW; without it from VoltsV times AmpsA; without those from RPM and Options.Generator.
type Log struct {
	Times         []int64   // Unix seconds at which each step begins, strictly increasing
	StepS         int64     // length of a step, s
	SpeedMS       []float64 // mean wind speed, m/s
	PowerW        []float64 // mean electrical power at the machine's terminals, W; below 0 where the machine draws power
	VoltsV        []float64 // voltage at the terminals, V
	AmpsA         []float64 // current, A
	RPM           []float64 // of the generator's shaft, turns a minute
	TemperatureC  []float64 // of the air, °C
	PressurePa    []float64 // of the air at the station, Pa, not reduced to sea level
	HumidityShare []float64 // relative humidity, 0 to 1
	DirectionDeg  []float64 // where the wind comes from, degrees clockwise from north
}

// Result is a power curve that was measured, and what it is worth.
type Result struct {
	Bins   []Bin         // from the lowest speed with data to the highest, empty ones between included
	Curve  []yield.Point // the complete bins at the reference density, fit for yield.NewCurve; empty where there are fewer than two
	Sketch []yield.Point // every bin with data: what the curve may become, not to be relied on

	AveragingS           int64   // period of the averages, s
	ReferenceDensity     float64 // kg/m³ that bins and curve stand for
	MeanDensity          float64 // mean of the air during the test, kg/m³
	Air                  Air     // what the density rests on
	Used                 int     // periods in the bins
	Left                 []LeftOut
	TotalHours           float64 // of all periods used
	RangeHours           float64 // of those with a wind that counts, from FromMS to ToMS
	FromMS, ToMS         float64 // the speeds whose bins must be complete, m/s; NaN where the machine never starts
	CutInMS              float64 // lowest bin from which the machine makes power, m/s; NaN for none
	NeedMinutes, NeedH   float64 // what a bin and the log must hold
	Complete             bool    // nothing is missing
	Missing              []string
	AEP                  []Energy // at mean speeds of 4 to 11 m/s; nil without a curve
	PeakCp, PeakCpMS     float64  // the highest power coefficient of a bin from 4 m/s with at least 3 periods, and where; NaN for none
	ShiftFoundS          int64    // by how much power's clock is ahead of wind's, s; 0 for none found
	ShiftCorrelation     float64  // of the changes of wind and power with that shift taken out; NaN where it could not be looked for
	UnshiftedCorrelation float64  // the same as the log stands
	Warnings             []resource.Warning
}

// Bin is one step of wind speed, half a metre a second wide about its centre.
type Bin struct {
	CentreMS      float64 // a multiple of 0.5 m/s
	SpeedMS       float64 // mean of the speeds in it, m/s; NaN for none
	PowerW        float64 // mean of the powers at the reference density, W; NaN for none
	SDW           float64 // standard deviation of the powers, W; NaN below two periods
	UncertaintyAW float64 // category A, standard: SDW/√N, W; NaN below two periods. It takes periods as independent
	UncertaintyBW float64 // category B, standard: of the instruments, W; NaN for none
	Cp            float64 // power coefficient of the means; NaN for none
	N             int     // periods
	Minutes       float64 // that they last
	Complete      bool    // Minutes are enough
}

// UncertaintyW is both categories together, standard, W: the root of the sum of squares. NaN where either is.
func (b Bin) UncertaintyW() float64 { return math.Hypot(b.UncertaintyAW, b.UncertaintyBW) }

// Energy is a year's energy in a Rayleigh wind.
type Energy struct {
	MeanSpeedMS     float64 // at hub height, m/s
	MeasuredKWh     float64 // nothing above the last complete bin
	ExtrapolatedKWh float64 // above it the power of the last complete bin, up to the cut-out speed
	UncertaintyKWh  float64 // standard, of MeasuredKWh; NaN where a bin's is not known
	Complete        bool    // MeasuredKWh is at least 95 % of ExtrapolatedKWh
}

// LeftOut says how many periods or rows were not used, and why.
type LeftOut struct {
	Reason string // stable, snake_case
	Detail string // in words; says whether N counts rows or periods
	N      int
}
