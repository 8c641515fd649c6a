package assess

import (
	"mastworth/resource"
	"mastworth/resource/longterm"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
	"mastworth/yield"
	"mastworth/yield/cost"
	"mastworth/yield/household"
	"mastworth/yield/solar"
)

// Request is everything one estimate needs, in SI units, before defaults. A NaN number means "not given";
// Complete fills every default that applies and says which ones it filled.
type Request struct {
	Site    Site
	Wind    Wind
	Shear   Shear
	Turbine Turbine
	// Towers are the masts to choose from; empty with a TowerRule, which then stands for them.
	Towers      []Tower
	TowerRule   *TowerRule
	Losses      yield.Losses
	Money       Money
	Solar       Solar
	Household   *Household  // nil: the split of the money is by months alone
	Uncertainty Uncertainty // the zero value: nothing given
	Seed        uint64
	// Progress is told how far a sweep of designs has come, one call at a time; nil: nobody.
	Progress func(done, total int)
	// Stop is asked during a sweep of designs whether to give up, from several goroutines, so that nobody waits for an answer that
	// nobody wants; nil: never.
	Stop func() bool
}

// Site is where the mast would stand.
type Site struct {
	Name         string
	LatitudeDeg  float64 // north positive, [-90, 90]
	LongitudeDeg float64 // east positive, [-180, 180]
	ElevationM   float64 // ground above sea level; NaN: taken as the record's, else 0 with a warning
	Ground       Ground
	Obstacles    []shelter.Obstacle // nil: not described, with a warning; empty: there are none
	Relief       []terrain.Relief   // what the mast stands on top of
}

// Ground is what the wind blows over. Either Cover or RoughnessM is given; both absent is a weak default.
type Ground struct {
	Cover         string         // a Davenport–Wieringa class in plain words; empty when RoughnessM is given
	RoughnessM    float64        // roughness length z0, m; NaN where not given
	DisplacementM float64        // displacement height d, m; NaN where not given (0)
	Sectors       []GroundSector // ground that differs by direction; what none covers is as above
}

// GroundSector is the ground in a sector of directions, clockwise from FromDeg to ToDeg, degrees from north. It reaches
// from the mast to ChangeAtM, m (NaN: as far as matters); what lies beyond is Beyond, or the ground of all sectors where
// that is nil. Neither Ground nor Beyond has sectors of its own.
type GroundSector struct {
	FromDeg, ToDeg float64
	Ground         Ground
	ChangeAtM      float64
	Beyond         *Ground
}

// Given reports whether the user described the ground at all.
func (g Ground) Given() bool { return g.Cover != "" || g.RoughnessM == g.RoughnessM }

// Wind is exactly one source of wind, and the ground where it was measured.
type Wind struct {
	Record       *Record
	Mean         *Mean
	Weibull      *Weibull
	Frequency    *Frequency
	MeasuredOver *Ground // nil: as the site's
	// MeasuredHere says whether the sensors stood at the mast's own place, behind the same trees and on the same hill; nil:
	// true of a logger's record that neither names another place nor has MeasuredOver, false of all else.
	MeasuredHere *bool
	Rose         []float64 // shares by twelve directions, of wind that has none of its own; nil: all alike
	LongTerm     *LongTerm // nil: the record stands for the long run as it is
}

// LongTerm stretches a record to the time of a reference.
type LongTerm struct {
	Reference *Record
	Method    longterm.Method // empty: variance ratio
	Sectors   bool
	MaxShiftS float64 // how far the clocks may be apart, s; NaN: 6 h
}

// Record is a measured or public record, already read. Ref is how the user named it (a file or an id), for messages.
type Record struct {
	Ref    string
	Series *resource.Series
	// HeightM overrides the height of the speed channel where the file does not say; NaN: not given.
	HeightM float64
	// Notes are warnings from the reading of the record, which the answer passes on.
	Notes []Warning
	// UnitDoubts say, by the name of a channel, why it looks as if it were read in another unit than it was written in
	// (resource.SuspectUnit). No verdict rests on a speed of which that is doubted.
	UnitDoubts map[string]string
}

// Mean is a mean speed with a Weibull shape.
type Mean struct{ SpeedMS, HeightM, Shape float64 } // Shape NaN: 2.0 (Rayleigh), with a warning

// Weibull is a fitted distribution.
type Weibull struct{ ScaleMS, Shape, HeightM float64 }

// Frequency is a table of shares by speed bin.
type Frequency struct {
	HeightM float64
	Bins    []Bin
}

// Bin is one row of a frequency table: the share of time from FromMS up to ToMS.
type Bin struct{ FromMS, ToMS, Share float64 }

// ShearMethod says how wind is moved to hub height.
type ShearMethod string

// The shear methods. Auto takes the measured profile where a record has two heights, else the log law where the ground
// is described, else the power law.
const (
	ShearAuto     ShearMethod = "auto"
	ShearLog      ShearMethod = "log"
	ShearPower    ShearMethod = "power"
	ShearMeasured ShearMethod = "measured"
)

// Shear is the method, and the exponent the power law uses (NaN: from the roughness, Counihan 1975).
type Shear struct {
	Method   ShearMethod
	Exponent float64
}

// Turbine is the machine.
type Turbine struct {
	Name           string
	RotorDiameterM float64
	RatedPowerW    float64 // NaN: the curve's highest power, or what a design suggests; stays NaN for a curve of nothing
	Regulation     yield.Regulation
	CurvePoints    []yield.Point // speed m/s, power W at the terminals
	CurveDensity   float64       // air density the curve stands for, kg/m³; NaN: 1.225
	// At most one of the next two, and then no CurvePoints: Run works them out.
	Design  *Design
	TestLog *TestLog
	// Kept says of a turbine that was kept earlier what it was made from; nil: the request gives it.
	Kept *KeptCurve

	ratedBy      string // why RatedPowerW is what it is; empty where the request gives it
	curvePending bool   // CurvePoints stand in for a curve that is still to be worked out
}

// Money is what things cost. NaN means not given.
type Money struct {
	Currency     string // free text of up to 8 letters; "EUR" by default
	TurbineCost  float64
	OtherCost    float64
	YearlyCost   float64
	Replacements []cost.Replacement
	LifeYears    int // 0: not given
	DiscountRate float64
	PricePerKWh  float64 // what a kWh costs the builder today; NaN: no NPV or payback
	// OutputDecline is the share of its output the machine loses from each year to the next.
	OutputDecline float64
	// What a sold kWh brings, and the share of the energy that replaces bought energy instead. Without FeedInPerKWh all of it does.
	FeedInPerKWh, SelfUsedShare float64
	// Real changes a year of the price and of what a sold kWh brings, as shares.
	PriceEscalation, FeedInEscalation float64
	// MeasuringCost is what measuring the wind before the decision would cost; 0 by default.
	MeasuringCost float64
}

// Solar is the array the same money would buy.
type Solar struct {
	CostPerKW       float64
	YearlyCostPerKW float64
	LifeYears       int
	TiltDeg         float64 // NaN with BestTilt false: not given, which also means best
	BestTilt        bool
	AzimuthDeg      float64 // where the array faces, clockwise from north; NaN: towards the equator
	Losses          float64 // share lost between the modules' rating and the socket, temperature apart
	OutputDecline   float64 // share of its output the array loses from each year to the next
	// At most one of the next three; NaN or nil where not given.
	MonthlyIrradiationKWhM2 []float64 // twelve months' global horizontal irradiation
	MonthlyIrradiationRef   string    // where the months come from, for the provenance; empty: from whoever asks
	YearlyIrradiationKWhM2  float64
	YieldKWhPerKW           float64 // specific yield a year, from elsewhere
}

// solarPlane is the plane the request asks for.
func (s Solar) plane(latitude float64) (p solar.Plane, best bool) {
	az := s.AzimuthDeg
	if az != az {
		az = solar.TowardsEquator(latitude)
	}
	return solar.Plane{TiltDeg: s.TiltDeg, AzimuthDeg: az}, s.BestTilt || s.TiltDeg != s.TiltDeg
}

// Household is the home that wind and sun are to supply.
type Household struct {
	YearlyKWh float64 // what it draws a year
	LoadCSV   string  // how it draws it (household.ReadLoad); empty: an assumed shape
	Battery   household.Battery
	// What the battery costs and how long it lasts; NaN or 0 where there is none.
	BatteryCost      float64
	BatteryLifeYears int
}
