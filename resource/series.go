package resource

import (
	"math"

	"github.com/paulmach/orb"
)

// Quantity says what a channel measures and, with it, the unit of its values.
type Quantity uint8

// The quantities a record can hold, each with its one unit inside Mastworth.
const (
	Speed             Quantity = iota + 1 // mean wind speed over the step, m/s
	SpeedSD                               // standard deviation of wind speed within the step, m/s
	Gust                                  // highest wind speed within the step, m/s
	Direction                             // where the wind comes from, degrees clockwise from north, [0, 360)
	Temperature                           // air temperature, °C
	Pressure                              // station pressure (not reduced to sea level), Pa
	Humidity                              // relative humidity, 0 to 1
	GlobalHorizontal                      // global irradiance on the horizontal, mean over the step, W/m²
	DirectNormal                          // direct irradiance on a plane facing the sun, mean over the step, W/m²
	DiffuseHorizontal                     // diffuse irradiance on the horizontal, mean over the step, W/m²
	Power                                 // electrical power of a machine, mean over the step, W
	Voltage                               // at a machine's terminals, V
	Current                               // from a machine, A
	ShaftSpeed                            // of a generator's shaft, turns a minute
)

var quantityNames = [...]string{
	Speed: "speed", SpeedSD: "speed_sd", Gust: "gust", Direction: "direction",
	Temperature: "temperature", Pressure: "pressure", Humidity: "humidity",
	GlobalHorizontal: "global_horizontal", DirectNormal: "direct_normal", DiffuseHorizontal: "diffuse_horizontal",
	Power: "power", Voltage: "voltage", Current: "current", ShaftSpeed: "shaft_speed",
}

// String is the quantity's name on the wire and in reports, such as "speed_sd"; "unknown" for anything else.
func (q Quantity) String() string {
	if int(q) < len(quantityNames) && quantityNames[q] != "" {
		return quantityNames[q]
	}
	return "unknown"
}

// ParseQuantity is the inverse of Quantity.String; ok is false for a name it does not know.
func ParseQuantity(name string) (q Quantity, ok bool) {
	for i, n := range quantityNames {
		if n == name && n != "" {
			return Quantity(i), true
		}
	}
	return 0, false
}

// Flag is a set of reasons why a value is not used. The value itself is never changed.
type Flag uint16

// The reasons a value can be left out.
const (
	FlagRange   Flag = 1 << iota // outside what the quantity can physically be
	FlagFlat                     // the sensor stood still for longer than wind does
	FlagIcing                    // a cup standing still in frost
	FlagSpike                    // a jump there and back that air does not make
	FlagSource                   // the publisher's own quality code says so
	FlagExclude                  // left out by the user's choice
	FlagShadow                   // the mast stands between the sensor and the wind
)

// Channel is one column of a record.
type Channel struct {
	Name     string    // as the file calls it
	Quantity Quantity  // what it measures
	HeightM  float64   // height above ground, m; NaN where the file does not say
	Values   []float64 // one value a stamp, in the quantity's unit; NaN where missing
	Flags    []Flag    // nil, or one set of reasons a stamp; a value with any is not used
}

// Usable reports whether value i is present and not flagged.
func (c *Channel) Usable(i int) bool {
	return !math.IsNaN(c.Values[i]) && (c.Flags == nil || c.Flags[i] == 0)
}

// Kind says what sort of time axis a record has, which decides what may be concluded from it.
type Kind uint8

// The kinds of record.
const (
	Measured    Kind = iota // real consecutive time at hourly or shorter steps
	TypicalYear             // twelve months picked from different years and strung together
	Daily                   // daily means: too smooth for a speed distribution
)

// Place is where a record was taken.
type Place struct {
	Point      orb.Point // longitude, latitude in degrees (WGS84)
	ElevationM float64   // of the ground above sea level, m; NaN where unknown
}

// Series is a record: one time axis and the channels measured along it. It is immutable once read, but for flags.
type Series struct {
	Times        []int64 // Unix seconds (UTC) at which each averaging step begins; strictly increasing
	StepS        int64   // the usual averaging step, s; a stamp further on than this from the last is a gap
	UTCOffsetS   int64   // local standard time less UTC, s: months and hours are counted in local standard time
	Kind         Kind
	Place        *Place // nil where the file does not say
	Channels     []Channel
	SourceFormat string // the reader's name, such as "epw"
	Attribution  string // what the publisher asks to be said; may be empty
}

// Len is the number of stamps.
func (s *Series) Len() int { return len(s.Times) }
