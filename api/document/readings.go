package document

import (
	"fmt"
	"math"
	"reflect"
	"unicode/utf8"

	"mastworth/openapi"
	"mastworth/yield/harvest"
)

var readingsPlan = newPlan(reflect.TypeFor[openapi.ReadingsInput]())

// Limits of readings and of how their times are written, as the contract has them.
const (
	shortestStamp = 6
	longestStamp  = 40
	mostReadings  = 2000 // a table takes more
)

// ClockAt is local standard time less UTC, s, by longitude alone: the nearest whole hours. It is off by an hour or two where a country keeps
// another time, which is next to nothing of a month.
func ClockAt(longitude float64) int64 { return int64(math.Round(longitude/15)) * 3600 }

// DecodeReadings reads readings. Times without an offset are by a clock that is utcOffsetS before UTC.
func DecodeReadings(data []byte, s Syntax, utcOffsetS int64) ([]harvest.Reading, error) {
	var out []harvest.Reading
	_, err := decodePart(data, s, readingsPlan, func(s *shape, in *openapi.ReadingsInput) {
		switch n := len(in.Readings); {
		case n == 0:
			s.add("readings", "must have a reading")
			return
		case n > mostReadings:
			s.add("readings", "has %d readings; at most %d are taken in a document; send more as text/csv", n, mostReadings)
			return
		}
		for i := range in.Readings {
			out = append(out, s.meterReading(fmt.Sprintf("readings[%d]", i), &in.Readings[i], utcOffsetS))
		}
	})
	return out, err
}

// meterReading turns one reading into the domain's.
func (s *shape) meterReading(at string, in *openapi.ReadingInput, utcOffsetS int64) harvest.Reading {
	var r harvest.Reading
	moment := s.stamp(at+".time", in.Time, utcOffsetS)
	r.AtUnix = moment.EndUnix
	switch {
	case in.MeterKWh == nil && in.EnergyKWh == nil:
		s.add(at, "must have meter_kwh, a counter, or energy_kwh, the energy of the time that ended then")
	case in.MeterKWh != nil && in.EnergyKWh != nil:
		s.add(at, "must have one of meter_kwh and energy_kwh, not both")
	case in.MeterKWh != nil:
		r.Meter, r.KWh, r.AtUnix = true, *in.MeterKWh, moment.ReadAt()
		s.energy(at+".meter_kwh", r.KWh)
	default:
		r.KWh = *in.EnergyKWh
		s.energy(at+".energy_kwh", r.KWh)
	}
	switch {
	case in.From == nil && !r.Meter && moment.Fineness == harvest.AMonth:
		r.FromUnix = moment.BeginUnix
	case in.From == nil:
	case r.Meter:
		s.add(at+".from", "goes with energy_kwh; a counter has no beginning")
	default:
		if from := s.stamp(at+".from", *in.From, utcOffsetS); from.BeginUnix >= r.AtUnix && r.AtUnix != 0 && from.BeginUnix != 0 {
			s.add(at+".from", "must be before time")
		} else {
			r.FromUnix = from.BeginUnix
		}
	}
	return r
}

func (s *shape) stamp(at, text string, utcOffsetS int64) harvest.Moment {
	s.length(at, text, shortestStamp, longestStamp)
	m, ok := harvest.ParseStamp(text, utcOffsetS)
	if n := utf8.RuneCountInString(text); !ok && n >= shortestStamp && n <= longestStamp {
		s.add(at, "%q is no time; write %s", text, harvest.StampWords)
	}
	return m
}

func (s *shape) energy(at string, kwh float64) {
	if !(kwh >= 0 && kwh <= harvest.MostKWh) {
		s.add(at, "must be from 0 to %.0f kWh, not %g", float64(harvest.MostKWh), kwh)
	}
}
