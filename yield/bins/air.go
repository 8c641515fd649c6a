package bins

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Air is what the density of the air rests on.
type Air struct {
	TemperatureMeasured, PressureMeasured, HumidityMeasured bool
	MeanTemperatureC                                        float64 // measured, or the standard atmosphere's, °C
	MeanPressurePa                                          float64 // the same, Pa
}

// Air outside these is a fault of the sensor and counts as missing.
const (
	coldestC, hottestC = -70, 60
	thinnestPa         = 40e3
	thickestPa         = 110e3
	reducedShare       = 0.04 // of pressure above the standard atmosphere's: more than weather does
)

// channelMean is the mean of the values within bounds, how many there are, and the mean of all finite ones whatever they are.
func channelMean(values []float64, from, to float64) (mean float64, n int, raw float64) {
	sum, all, count := 0.0, 0.0, 0
	for _, v := range values {
		if v-v != 0 {
			continue // NaN or infinite
		}
		all += v
		count++
		if v >= from && v <= to {
			sum += v
			n++
		}
	}
	return sum / float64(n), n, all / float64(count)
}

// atmosphere gives each period its density.
type atmosphere struct {
	Air
	log      *Log
	constant float64 // kg/m³ where neither temperature nor pressure was measured, else NaN
}

// newAtmosphere settles what stands for what was not measured, and refuses units that cannot be.
func newAtmosphere(l *Log, o *Options, warn *warnings) (*atmosphere, error) {
	elevation := o.ElevationM
	t, nT, rawT := channelMean(l.TemperatureC, coldestC, hottestC)
	p, nP, rawP := channelMean(l.PressurePa, thinnestPa, thickestPa)
	_, nH, rawH := channelMean(l.HumidityShare, 0, 1.05)
	switch {
	case rawT > 180 && rawT < 350:
		return nil, &Fault{"temperature_c", -1, fmt.Sprintf("the mean is %.4g: this looks like kelvin; take off 273.15", rawT)}
	case nT == 0 && !math.IsNaN(rawT):
		return nil, &Fault{"temperature_c", -1, fmt.Sprintf("a mean of %.4g °C is not that of outside air; check the column and its unit", rawT)}
	case nP == 0 && rawP > 400 && rawP < 1100:
		return nil, &Fault{"pressure_pa", -1, fmt.Sprintf("the mean is %.5g: this looks like hPa (mbar); multiply by 100", rawP)}
	case nP == 0 && !math.IsNaN(rawP):
		return nil, &Fault{"pressure_pa", -1, fmt.Sprintf("the mean of %.5g cannot be Pa; multiply kPa by 1000, mmHg by 133.322 or inches "+
			"of mercury by 3386.39", rawP)}
	case rawH > 1.5:
		return nil, &Fault{"humidity_share", -1, fmt.Sprintf("the mean is %.4g: this looks like per cent; divide by 100", rawH)}
	}
	a := &atmosphere{log: l, constant: math.NaN(), Air: Air{nT > 0, nP > 0, nH > 0, t, p}}
	if nT == 0 || nP == 0 {
		if math.IsNaN(elevation) {
			warn.add("elevation_unknown", "the machine's elevation is not known, and air not wholly measured; sea level was taken; air is 1 %% "+
				"thinner for each 100 m (330 ft) above it")
			elevation = 0
		}
		standardT, standardP, standard := resource.StandardAir(elevation)
		switch {
		case nT == 0 && nP == 0:
			a.MeanTemperatureC, a.MeanPressurePa, a.constant = standardT, standardP, standard
			warn.add("air_assumed", "neither temperature nor pressure was logged: all power was normalised from %.4g kg/m³, the standard air at "+
				"%.0f m; a day 10 °C warmer has 3.5 %% less; log at least the temperature", standard, elevation)
		case nT == 0:
			a.MeanTemperatureC = standardT
			warn.add("temperature_assumed", "the temperature was not logged: %.1f °C of the standard air at %.0f m was taken; 10 °C are 3.5 %% of power",
				standardT, elevation)
		default:
			a.MeanPressurePa = standardP
			warn.add("pressure_assumed", "the pressure was not logged: %.1f hPa of the standard air at %.0f m was taken; weather moves it by 1 to 2 %%",
				standardP/100, elevation)
		}
	} else if _, expected, _ := resource.StandardAir(elevation); p > expected*(1+reducedShare) {
		warn.add("pressure_reduced", "the mean pressure of %.1f hPa is %.1f %% above the standard air's at %.0f m: it looks reduced to sea level, "+
			"as weather reports give it; the curve would need the pressure at the station", p/100, 100*(p/expected-1), elevation)
	}
	if o.DensityUncertainty == 0 {
		o.DensityUncertainty = 0.03
		if nT > 0 && nP > 0 {
			o.DensityUncertainty = 0.005
		} else if nT > 0 {
			o.DensityUncertainty = 0.01
		}
	}
	if miss := 1 - float64(nT)/float64(len(l.Times)); nT > 0 && miss > 0.05 {
		warn.add("temperature_gaps", "%.0f %% of temperatures are missing; the log's mean of %.1f °C stands for them", 100*miss, t)
	}
	if miss := 1 - float64(nP)/float64(len(l.Times)); nP > 0 && miss > 0.05 {
		warn.add("pressure_gaps", "%.0f %% of pressures are missing; the log's mean of %.1f hPa stands for them", 100*miss, p/100)
	}
	return a, nil
}

// density is that of the mean air of rows from and up to to, kg/m³.
func (a *atmosphere) density(from, to int) float64 {
	if a.constant == a.constant {
		return a.constant
	}
	t := mean(a.log.TemperatureC, from, to, coldestC, hottestC, a.MeanTemperatureC)
	p := mean(a.log.PressurePa, from, to, thinnestPa, thickestPa, a.MeanPressurePa)
	h := math.NaN()
	if a.HumidityMeasured {
		h = mean(a.log.HumidityShare, from, to, 0, 1.05, h)
	}
	return resource.AirDensity(t, p, h)
}

// mean is that of the values within bounds of some rows, or otherwise if there is none.
func mean(values []float64, from, to int, low, high, otherwise float64) float64 {
	if values == nil {
		return otherwise
	}
	if to-from == 1 {
		if v := values[from]; v >= low && v <= high {
			return v
		}
		return otherwise
	}
	sum, n := 0.0, 0
	for _, v := range values[from:to] {
		if v >= low && v <= high {
			sum += v
			n++
		}
	}
	if n == 0 {
		return otherwise
	}
	return sum / float64(n)
}
