package document

import (
	"strings"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/climate"
	"mastworth/resource/extreme"
)

// ClimateOf is the climate of a speed channel of a screened series, with the extreme wind at its height.
func ClimateOf(s *resource.Series, channel, sectors int) (openapi.Climate, error) {
	return climateOf(s, channel, climate.Options{Sectors: sectors})
}

// ClimateInClasses is ClimateOf with the rose parted at other speeds, m/s, for pages that tell another unit; the zero value changes nothing.
func ClimateInClasses(s *resource.Series, channel, sectors int, beginMS [5]float64) (openapi.Climate, error) {
	return climateOf(s, channel, climate.Options{Sectors: sectors, ClassesMS: beginMS})
}

func climateOf(s *resource.Series, channel int, o climate.Options) (openapi.Climate, error) {
	s, _ = resource.FillShadow(s)
	c, err := climate.Of(s, channel, o)
	if err != nil {
		return openapi.Climate{}, err
	}
	out := fromClimate(&c)
	h := s.Channels[channel].HeightM
	found, err := extreme.FiftyYear(s, channel, extreme.Options{HubHeightM: h, MeasuredAtM: h, MeanFactor: 1})
	if err != nil {
		out.ExtremeWindMissing = err.Error()
		return out, nil
	}
	var n memory
	out.ExtremeWind = fromExtreme(&found, &n)
	for _, w := range found.Warnings {
		out.Warnings = append(out.Warnings, openapi.Warning(w))
	}
	return out, nil
}

// SpeedChannelWords lists the speed channels of a record.
func SpeedChannelWords(s *resource.Series) string {
	var names []string
	for _, i := range s.SpeedChannels() {
		names = append(names, quoted(s.Channels[i].Name))
	}
	return strings.Join(names, ", ")
}

func fromClimate(c *climate.Climate) openapi.Climate {
	var n memory
	out := openapi.Climate{
		Method: Methods, Channel: c.Channel, HeightM: n.or(c.HeightM), N: int64(c.N), AirDensityKgM3: n.figure(c.AirDensityKgM3),
		MeanMS: n.figure(c.Plain.MeanMS), EvenedMeanMS: n.figure(c.Evened.MeanMS), PowerDensityWM2: n.figure(c.PowerDensityWM2),
		CalmShare: n.figure(c.CalmShare), Months: fromClimatePeriods(c.Months[:], &n), Hours: fromClimatePeriods(c.Hours[:], &n),
		MonthHours: make([][]*float64, len(c.MonthHours)), Years: make([]openapi.ClimateYear, len(c.Years)),
		Turbulence: fromTurbulence(c.Turbulence, &n), TurbulenceMissing: c.WhyNoTurbulence, Gusts: fromGusts(c.Gusts, &n),
		GustsMissing: c.WhyNoGusts, Warnings: fromWarnings(c.Warnings, 0),
	}
	for m := range c.MonthHours {
		for h := range c.MonthHours[m] {
			out.MonthHours[m] = append(out.MonthHours[m], n.figure(c.MonthHours[m][h].MeanMS))
		}
	}
	for i, y := range c.Years {
		out.Years[i] = openapi.ClimateYear{Year: y.Year, N: int64(y.N), MeanMS: n.figure(y.MeanMS), Completeness: n.figure(y.Completeness)}
	}
	for i := range c.Fits {
		out.Fits = append(out.Fits, fromComparison(&c.Fits[i], &n))
	}
	for i := range c.Sectors {
		out.Sectors = append(out.Sectors, fromClimateSector(&c.Sectors[i], c.ClassesMS, &n))
	}
	return out
}

func fromComparison(f *climate.FitComparison, n *memory) openapi.FitComparison {
	out := openapi.FitComparison{Distance: n.figure(f.Distance), MeanError: n.figure(f.MeanError), CubeError: n.figure(f.MeanCubeError),
		Used: f.Used, Why: f.Why}
	if f.Err != nil {
		out.Refused = f.Err.Error()
		out.Distance, out.MeanError, out.CubeError = nil, nil, nil
		return out
	}
	out.Weibull = fromRecordFit(&f.Fit)
	return out
}

func fromClimateSector(s *climate.Sector, classes []float64, n *memory) openapi.ClimateSector {
	out := openapi.ClimateSector{FromDeg: s.FromDeg, ToDeg: s.ToDeg, N: int64(s.N), Share: n.figure(s.Share), EnergyShare: n.figure(s.EnergyShare),
		MeanSpeedMS: n.figure(s.MeanMS), Classes: make([]openapi.SpeedClass, len(classes))}
	if s.Fit != nil {
		out.Weibull = fromRecordFit(s.Fit)
	} else if s.WhyNoFit != nil {
		out.WeibullRefused = s.WhyNoFit.Error()
	}
	for i, from := range classes {
		out.Classes[i] = openapi.SpeedClass{FromMS: from}
		if i+1 < len(classes) {
			out.Classes[i].ToMS = n.some(classes[i+1])
		}
		if i < len(s.SpeedShares) {
			out.Classes[i].Share = n.figure(s.SpeedShares[i])
		}
	}
	return out
}

func fromClimatePeriods(in []climate.Period, n *memory) []openapi.ClimatePeriod {
	out := make([]openapi.ClimatePeriod, len(in))
	for i, p := range in {
		out[i] = openapi.ClimatePeriod{N: int64(p.N), MeanMS: n.figure(p.MeanMS), MeanCubeM3S3: n.figure(p.MeanCube), Completeness: n.figure(p.Completeness)}
	}
	return out
}

func fromTurbulence(t *climate.Turbulence, n *memory) *openapi.Turbulence {
	if t == nil {
		return nil
	}
	return &openapi.Turbulence{Channel: t.Channel, StepS: t.StepS, At15MS: n.figure(t.At15.Mean), RepresentativeAt15MS: n.figure(t.Implied15),
		Bins: fromRatios(t.Bins, n)}
}

func fromGusts(g *climate.Gusts, n *memory) *openapi.Gusts {
	if g == nil {
		return nil
	}
	return &openapi.Gusts{Channel: g.Channel, Above5MS: n.figure(g.Above5.Mean), RepresentativeAbove5MS: n.figure(g.Above5.Representative),
		Bins: fromRatios(g.Bins, n)}
}

func fromRatios(in []climate.RatioBin, n *memory) []openapi.TurbulenceBin {
	out := make([]openapi.TurbulenceBin, len(in))
	for i, b := range in {
		out[i] = openapi.TurbulenceBin{FromMS: b.FromMS, ToMS: n.or(b.ToMS), N: int64(b.N), Mean: n.figure(b.Mean), SD: n.figure(b.SD),
			Representative: n.figure(b.Representative), P90: n.figure(b.P90)}
	}
	return out
}
