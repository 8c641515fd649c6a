package solar

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// From which share on a trouble of the record is worth saying.
const (
	sayMissing  = 0.01
	sayDoubtful = 0.01
	saySplit    = 0.1
	sayNoAir    = 0.1
	sayNight    = 0.01
	sayClosure  = 0.05
)

// warnings says what the reading leaned on; missing is the share of the year's sun that was filled.
func (r *reading) warnings(missing float64) []resource.Warning {
	var out []resource.Warning
	warn := func(code, format string, args ...any) {
		out = append(out, resource.Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
	}
	n := float64(len(r.samples))
	if missing > sayMissing {
		warn("solar_gaps", "%.1f %% of the year's sun is missing from the record and was filled from the hours of the same and neighbouring months",
			100*missing)
	}
	if k := r.counts[sourceWrong]; k > 0 {
		remedy := ""
		if float64(k) > sayDoubtful*n {
			remedy = ": unit, clock or time zone are doubtful"
		}
		warn("solar_impossible_values", "%d of %d sunny steps have more irradiance than is physically possible and were left "+
			"out%s", k, k+len(r.samples), remedy)
	}
	if split := float64(r.counts[sourceSplit]) / n; split > saySplit {
		warn("solar_split_modelled", "direct and diffuse light are not measured in %.0f %% of the hours and were split from "+
			"global irradiance: the yield may be a few per cent off for it", 100*split)
	}
	if night := r.nightSum / r.allGlobalSum; night > sayNight {
		warn("solar_clock", "%.1f %% of the irradiation comes while the sun is down at this place: clock, time zone or "+
			"longitude of the record are doubtful", 100*night)
	}
	if off := r.closureSum/r.globalSum - 1; math.Abs(off) > sayClosure {
		warn("solar_closure", "direct and diffuse irradiance add up to %+.0f %% of the global irradiance beside them; direct "+
			"and diffuse are used", 100*off)
	}
	switch {
	case r.air.channel == nil:
		out = append(out, warnAir("the record has no temperature"))
	case float64(r.noAir) > sayNoAir*n:
		warn("solar_temperature_assumed", "air temperature is missing in %.0f %% of the sunny hours; the record's mean of the "+
			"month stands in", 100*float64(r.noAir)/n)
	}
	if float64(r.noWind) > sayNoAir*n {
		warn("solar_wind_assumed", "wind is missing in %.0f %% of the sunny hours; %d m/s at the modules is assumed",
			100*float64(r.noWind)/n, DefaultWind)
	}
	return out
}

// doubt adds to an error what may be behind it: many impossible values are a wrong clock more often than a bad sensor.
func (r *reading) doubt(err error) error {
	k := r.counts[sourceWrong]
	if float64(k) <= sayDoubtful*float64(k+len(r.samples)) {
		return err
	}
	return fmt.Errorf("%w; %d steps were left out because they have more irradiance than is physically possible under "+
		"that sun: check the record's unit, clock, time zone and longitude", err, k)
}
