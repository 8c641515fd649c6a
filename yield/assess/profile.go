package assess

import (
	"errors"
	"fmt"
	"math"

	"mastworth/resource"
)

// A year's shear exponent outside the walls is a fault of the sensors; above the doubtful one it wants a look. Judgement, on
// the handbook range of 0.1 over water to 0.4 over a city.
const (
	lowestExponent   = -0.1
	doubtfulExponent = 0.5
	highestExponent  = 0.8
)

// profile moves wind from the height it was measured at to a hub, by one method for the whole estimate.
type profile struct {
	method     ShearMethod // resolved: never auto
	over, site resource.Ground
	exponent   float64              // of the power law
	table      *resource.ShearTable // of the measured profile
	source     string
}

// lift is one height step: a factor for all speeds, or one by sector and by night (0) and day (1).
type lift struct {
	all      float64
	bySector [][2]float64 // nil where one factor serves all
	unknown  [2]float64   // beside bySector: where there is no direction
}

// newProfile settles the method. groundGiven says whether the user described the ground, which auto prefers to know.
func newProfile(r *Request, groundGiven bool, warn func(code, format string, args ...any)) (profile, error) {
	p := profile{site: r.Site.Ground.physical()}
	p.over = p.site
	if g := r.Wind.MeasuredOver; g != nil {
		p.over = g.physical()
		groundGiven = true
	}
	method := r.Shear.Method
	if method == ShearAuto || method == ShearMeasured {
		if rec := r.Wind.Record; rec != nil {
			table, err := resource.MeasuredShear(rec.Series, resource.SectorCount)
			switch {
			case err == nil && table.Overall >= lowestExponent && table.Overall <= highestExponent:
				p.method, p.table = ShearMeasured, &table
				p.source = fmt.Sprintf("speeds at %g m and %g m of the record, by day and night and, with a vane, by sector; exponent "+
					"over all %.3f", table.LowM, table.HighM, table.Overall)
				if table.Overall < 0 || table.Overall > doubtfulExponent {
					warn("shear_unusual", "the record's two heights give a shear exponent of %.2f; 0 to %.1f is usual: check the units "+
						"and the heights of both sensors", table.Overall, doubtfulExponent)
				}
				return p, nil
			case err == nil && method == ShearMeasured:
				return p, invalid("shear.method", "the record's two heights give a shear exponent of %.2f, which no air has over a year: "+
					"check the units and the heights of both sensors, or use log or power", table.Overall)
			case err == nil:
				warn("shear_unused", "the record's two heights give a shear exponent of %.2f, which no air has over a year, so it is not "+
					"used: check the units and the heights of both sensors", table.Overall)
			case method == ShearMeasured || !errors.Is(err, resource.ErrNoShear):
				return p, invalid("shear.method", "the record gives no measured shear (%s); use auto, log or power", err)
			}
		}
		method = ShearLog
		if e := r.Shear.Exponent; !groundGiven && e == e {
			method = ShearPower
		}
	}
	p.method = method
	switch method {
	case ShearPower:
		p.exponent, p.source = r.Shear.Exponent, "shear.exponent of the request"
		if p.exponent != p.exponent {
			p.exponent = resource.CounihanExponent(p.site.RoughnessM)
			p.source = "exponent from the site's roughness, Counihan 1975"
		}
		if p.over != p.site {
			warn("exposure_ignored", "a power law cannot carry wind from one ground to another: wind.measured_over is not used; "+
				"choose shear method log to use it")
		}
	case ShearLog:
		p.source = "logarithmic profile over the site's roughness"
		if p.over != p.site {
			p.source = "exposure transfer through 60 m, Wieringa 1986, WMO-No. 8 (explicit formula from memory)"
		}
	}
	return p, nil
}

// physical is the ground as the science sees it, once completed.
func (g Ground) physical() resource.Ground {
	return resource.Ground{RoughnessM: g.RoughnessM, DisplacementM: g.DisplacementM}
}

// lift is the step from one height to another.
func (p *profile) lift(fromM, toM float64) (lift, error) {
	switch p.method {
	case ShearPower:
		f, err := resource.PowerFactor(p.exponent, fromM-p.over.DisplacementM, toM-p.site.DisplacementM)
		return lift{all: f}, err
	case ShearMeasured:
		return p.measuredLift(fromM, toM)
	default:
		f, err := resource.ExposureFactor(p.over, p.site, fromM, toM)
		return lift{all: f}, err
	}
}

// measuredLift follows the measured profile. Where the record stood over other ground than the site's, it follows it up
// to the blending height only, and comes down over the site's ground by the logarithmic law.
func (p *profile) measuredLift(fromM, toM float64) (lift, error) {
	top, down := toM, 1.0
	if p.over != p.site {
		top = resource.BlendingHeightM
		var err error
		if down, err = resource.LogFactor(p.site, resource.BlendingHeightM, toM); err != nil {
			return lift{}, err
		}
	}
	if toM <= p.site.DisplacementM+p.site.RoughnessM {
		_, err := resource.LogFactor(p.site, resource.BlendingHeightM, toM)
		return lift{}, err
	}
	n := p.table.Sectors
	l := lift{all: down * p.table.Factor(-1, true, fromM, top), bySector: make([][2]float64, n)}
	for when, exponent := range p.table.ByDay {
		l.unknown[when] = down * math.Pow(top/fromM, exponent)
	}
	for s := range n {
		l.bySector[s] = [2]float64{
			down * p.table.Factor(s, false, fromM, top),
			down * p.table.Factor(s, true, fromM, top),
		}
	}
	return l, nil
}

// at is the factor for a sample of a sector (−1 where the direction is unknown) by night or day.
func (l *lift) at(sector int8, day bool) float64 {
	if l.bySector == nil {
		return l.all
	}
	when := 0
	if day {
		when = 1
	}
	if sector < 0 {
		return l.unknown[when]
	}
	return l.bySector[sector][when]
}

// liftError places a refused height at the tower it belongs to, or at the wind source where that is what is too low.
func liftError(err error, tower int, fromM float64, site resource.Ground) error {
	if errors.Is(err, resource.ErrInsideCanopy) && fromM <= site.DisplacementM+site.RoughnessM {
		return invalid("wind", "the measuring height of %g m is inside what covers the ground; describe the ground where the "+
			"wind was measured in wind.measured_over (%s)", fromM, err)
	}
	return invalid(fmt.Sprintf("towers[%d].hub_height_m", tower), "%s", err)
}
