package document

import (
	"math"

	"mastworth/openapi"
	"mastworth/resource"
)

// ShearOf is the shear between two heights of a series as its table has it. by are the means at both heights for each speed at the
// lower one, as many pairs as counts says.
func ShearOf(s *resource.Series, t *resource.ShearTable, by []openapi.HeightComparison) openapi.RecordShear {
	var n memory
	out := openapi.RecordShear{Method: Methods, LowChannel: s.Channels[t.Low].Name, HighChannel: s.Channels[t.High].Name, LowM: rounded(t.LowM), HighM: rounded(t.HighM),
		Pairs: int64(t.N), Exponent: n.figure(t.Overall), Night: n.figure(t.ByDay[0]), Day: n.figure(t.ByDay[1]), Sectors: make([]openapi.RecordShearSector, t.Sectors),
		Checks: fromShearChecks(t.Checks, s, &n), Comparison: by, Warnings: fromWarnings(t.Warnings(), 0)}
	width := 360 / float64(t.Sectors)
	for k := range out.Sectors {
		out.Sectors[k] = openapi.RecordShearSector{FromDeg: rounded(math.Mod(360+(float64(k)-0.5)*width, 360)), ToDeg: rounded((float64(k) + 0.5) * width),
			NightExponent: n.figure(t.Exponent[k][0]), DayExponent: n.figure(t.Exponent[k][1]), NightPairs: int64(t.Counts[k][0]), DayPairs: int64(t.Counts[k][1]),
			NightSource: t.Source[k][0], DaySource: t.Source[k][1]}
	}
	return out
}

func fromShearChecks(checks []resource.ShearCheck, s *resource.Series, n *memory) []openapi.ShearCheck {
	out := make([]openapi.ShearCheck, len(checks))
	for i, c := range checks {
		out[i] = openapi.ShearCheck{Channel: s.Channels[c.Channel].Name, HeightM: c.HeightM, PredictedMS: n.figure(c.PredictedMS),
			MeasuredMS: n.figure(c.MeasuredMS), RelativeError: n.figure(c.RelativeError), N: int64(c.N)}
	}
	return out
}

// HeightComparisons are rows of means at two heights, one a speed at the lower.
func HeightComparisons(lowMS, highMS, counts []float64) []openapi.HeightComparison {
	out := make([]openapi.HeightComparison, len(counts))
	var n memory
	for i := range out {
		out[i] = openapi.HeightComparison{LowMeanMS: rounded(lowMS[i]), HighMeanMS: rounded(highMS[i]), Ratio: n.figure(highMS[i] / lowMS[i]), Pairs: int64(counts[i])}
	}
	return out
}

// CoverageOf is how much of each month of a record is covered, a year a row; NaN is outside the record.
func CoverageOf(s *resource.Series, channel, firstYear int, shares [][12]float64) openapi.RecordCoverage {
	var n memory
	c := &s.Channels[channel]
	out := openapi.RecordCoverage{Method: Methods, Channel: c.Name, HeightM: n.or(c.HeightM), Years: make([]openapi.CoverageYear, len(shares))}
	for i := range shares {
		y := openapi.CoverageYear{Year: firstYear + i, MonthShares: make([]*float64, 12)}
		for m, share := range shares[i] {
			y.MonthShares[m] = n.figure(share)
		}
		out.Years[i] = y
	}
	return out
}
