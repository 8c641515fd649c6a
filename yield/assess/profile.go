package assess

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"mastworth/resource"
	"mastworth/resource/terrain"
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
	method      ShearMethod // resolved: never auto
	over, site  terrain.Grounds
	byDirection *byDirection         // the same two, worked out; nil where neither has sectors
	elsewhere   bool                 // the wind was measured over other ground than the site's
	rose        *directions          // shares of the wind, for speeds whose direction is unknown
	exponent    float64              // of the power law
	table       *resource.ShearTable // of the measured profile
	source      string
}

// byDirection is the ground at both places, worked out for all directions once.
type byDirection struct{ over, site *terrain.Prepared }

func newByDirection(p *profile) (*byDirection, error) {
	if len(p.over.Patches)+len(p.site.Patches) == 0 {
		return nil, nil
	}
	var out byDirection
	var err error
	if out.site, err = terrain.Prepare(p.site); err != nil {
		return nil, invalid("site.ground", "%s", err)
	}
	out.over = out.site
	if p.elsewhere {
		if out.over, err = terrain.Prepare(p.over); err != nil {
			return nil, invalid("wind.measured_over", "%s", err)
		}
	}
	return &out, nil
}

type warner func(code, format string, args ...any)

// newProfile settles the method. groundGiven says whether the user described the ground, which auto prefers to know.
func newProfile(r *Request, groundGiven bool, warn warner) (profile, error) {
	p := profile{site: r.Site.Ground.physical(), rose: roseOf(r.Wind.Rose)}
	p.over = p.site
	if g := r.Wind.MeasuredOver; g != nil {
		p.over = g.physical()
		p.elsewhere = !sameGround(p.over, p.site)
		groundGiven = true
	}
	var err error
	if p.byDirection, err = newByDirection(&p); err != nil {
		return p, err
	}
	method := r.Shear.Method
	if method == ShearAuto || method == ShearMeasured {
		followed, err := p.followRecord(r, warn)
		if followed || err != nil {
			return p, err
		}
		method = ShearLog
		if e := r.Shear.Exponent; !groundGiven && e == e {
			method = ShearPower
		}
	}
	p.method = method
	switch method {
	case ShearPower:
		p.setPower(r.Shear.Exponent, warn)
	case ShearLog:
		p.source = "logarithmic profile over the site's roughness"
		if p.elsewhere {
			p.source = "exposure transfer through 60 m, Wieringa 1986, WMO-No. 8 (explicit formula from memory)"
		}
		if len(p.site.Patches)+len(p.over.Patches) > 0 {
			p.source += "; ground by direction, each change of roughness by an internal boundary layer, Panofsky 1973, in three layers, " +
				"Sempreviva et al. 1990 (from memory)"
		}
	}
	return p, nil
}

// followRecord takes the record's own profile where it has a credible one.
func (p *profile) followRecord(r *Request, warn warner) (followed bool, err error) {
	rec := r.Wind.Record
	if rec == nil {
		return false, nil
	}
	asked := r.Shear.Method == ShearMeasured
	table, err := resource.MeasuredShear(rec.Series, resource.SectorCount)
	switch {
	case err == nil && table.Overall >= lowestExponent && table.Overall <= highestExponent:
		p.method, p.table, p.exponent = ShearMeasured, &table, table.Overall
		p.source = fmt.Sprintf("speeds at %g m and %g m of the record, by month, day and night and, with a vane, by sector where data "+
			"allow; exponent over all %.3f", table.LowM, table.HighM, table.Overall)
		if table.Overall < 0 || table.Overall > doubtfulExponent {
			warn("shear_unusual", "the record's two heights give a shear exponent of %.2f; 0 to %.1f is usual: check the units "+
				"and the heights of both sensors", table.Overall, doubtfulExponent)
		}
		for _, w := range table.Warnings() {
			warn(w.Code, "%s", w.Detail)
		}
		return true, nil
	case err == nil && asked:
		return false, invalid("shear.method", "the record's two heights give a shear exponent of %.2f, which no air has over a year: "+
			"check the units and the heights of both sensors, or use log or power", table.Overall)
	case err == nil:
		warn("shear_unused", "the record's two heights give a shear exponent of %.2f, which no air has over a year, so it is not "+
			"used: check the units and the heights of both sensors", table.Overall)
	case asked || !errors.Is(err, resource.ErrNoShear):
		return false, invalid("shear.method", "the record gives no measured shear (%s); use auto, log or power", err)
	}
	return false, nil
}

func (p *profile) setPower(exponent float64, warn warner) {
	p.exponent, p.source = exponent, "shear.exponent of the request"
	if p.exponent != p.exponent {
		p.exponent = resource.CounihanExponent(p.site.Everywhere.RoughnessM)
		p.source = "exponent from the site's roughness, Counihan 1975"
	}
	if p.elsewhere {
		warn("exposure_ignored", "a power law cannot carry wind from one ground to another: wind.measured_over is not used; "+
			"choose shear method log to use it")
	}
	if len(p.site.Patches) > 0 {
		warn("ground_sectors_ignored", "a power law has one exponent for all directions: site.ground.sectors are not used; choose shear "+
			"method log to use them")
	}
}

// physical is the ground as the science sees it, once completed.
func (g Ground) physical() terrain.Grounds {
	out := terrain.Grounds{Everywhere: g.plain()}
	for _, s := range g.Sectors {
		patch := terrain.Patch{FromDeg: s.FromDeg, ToDeg: s.ToDeg, Ground: s.Ground.plain(), ChangeAtM: s.ChangeAtM}
		if s.Beyond != nil {
			beyond := s.Beyond.plain()
			patch.Beyond = &beyond
		}
		out.Patches = append(out.Patches, patch)
	}
	return out
}

// plain is the ground without its sectors.
func (g Ground) plain() resource.Ground {
	return resource.Ground{RoughnessM: g.RoughnessM, DisplacementM: g.DisplacementM}
}

func sameGround(a, b terrain.Grounds) bool {
	return a.Everywhere == b.Everywhere && slices.EqualFunc(a.Patches, b.Patches, func(a, b terrain.Patch) bool {
		sameBeyond := (a.Beyond == nil) == (b.Beyond == nil) && (a.Beyond == nil || *a.Beyond == *b.Beyond)
		sameChange := a.ChangeAtM == b.ChangeAtM || a.ChangeAtM != a.ChangeAtM && b.ChangeAtM != b.ChangeAtM
		return a.FromDeg == b.FromDeg && a.ToDeg == b.ToDeg && a.Ground == b.Ground && sameBeyond && sameChange
	})
}

// lift is the step from one height to another, and what the ground is to the hub by direction (nil where the profile is not
// logarithmic, or the same ground lies all round).
func (p *profile) lift(fromM, toM float64) (lift, *exposures, error) {
	switch p.method {
	case ShearPower:
		f, err := resource.PowerFactor(p.exponent, fromM-p.over.Everywhere.DisplacementM, toM-p.site.Everywhere.DisplacementM)
		return lift{all: f}, nil, err
	case ShearMeasured:
		return p.measuredLift(fromM, toM)
	}
	if p.byDirection == nil {
		f, err := resource.ExposureFactor(p.over.Everywhere, p.site.Everywhere, fromM, toM)
		return lift{all: f}, nil, err
	}
	step, err := p.byDirection.site.TransferFrom(p.byDirection.over, fromM, toM)
	if err != nil {
		return lift{}, nil, err
	}
	hub, err := p.byDirection.site.All(toM)
	if err != nil {
		return lift{}, nil, err
	}
	l := lift{all: 1}
	l.scale(factorsOf(&step), p.rose)
	return l, &exposures{step: step, hub: hub}, nil
}

// exposures are the ground's factors by direction: of the whole step, and of the hub over the wind at 60 m.
type exposures struct {
	step, hub [terrain.DirectionCount]terrain.Exposure
}

// measuredLift follows the measured profile. Where the record stood over other ground than the site's, it follows it up
// to the blending height only, and comes down over the site's ground by the logarithmic law.
func (p *profile) measuredLift(fromM, toM float64) (lift, *exposures, error) {
	if floor := p.site.Everywhere; toM <= floor.DisplacementM+floor.RoughnessM {
		_, err := resource.LogFactor(floor, resource.BlendingHeightM, toM)
		return lift{}, nil, err
	}
	top := toM
	var down *exposures
	if p.elsewhere {
		top = resource.BlendingHeightM
		hub, err := p.site.All(toM)
		if err != nil {
			return lift{}, nil, err
		}
		down = &exposures{step: hub, hub: hub}
	}
	l := newLift(1)
	height := math.Log(top / fromM)
	for month := range l.by {
		for when := range 2 {
			var bySector [resource.SectorCount + 1]float64
			for s := range bySector {
				sector := s
				if s == resource.SectorCount {
					sector = -1
				}
				bySector[s] = math.Exp(height * p.table.At(month, sector, when == 1).Exponent)
			}
			for d := range terrain.DirectionCount {
				l.by[month][d][when] = bySector[sectorOf(d)]
			}
			l.by[month][noDirection][when] = bySector[resource.SectorCount]
		}
	}
	if down != nil {
		l.scale(factorsOf(&down.step), p.rose)
	}
	return l, down, nil
}

func factorsOf(e *[terrain.DirectionCount]terrain.Exposure) *directions {
	var out directions
	for d := range e {
		out[d] = e[d].Factor
	}
	return &out
}

// answer tells the profile to the user.
func (p *profile) answer() Profile {
	out := Profile{Method: p.method, Exponent: nan, StandardError: nan, RoughnessM: p.site.Everywhere.RoughnessM, LowM: nan, HighM: nan}
	switch p.method {
	case ShearPower:
		out.Exponent = p.exponent
	case ShearMeasured:
		t := p.table
		all := t.OverallClass()
		out.Exponent, out.StandardError, out.RoughnessM = all.Exponent, all.StandardError, all.RoughnessM
		out.LowM, out.HighM, out.Pairs, out.Checks = t.LowM, t.HighM, t.N, t.Checks
		const width = 360.0 / resource.SectorCount
		for s := range resource.SectorCount {
			out.Sectors = append(out.Sectors, SectorShear{
				FromDeg: math.Mod(360+(float64(s)-0.5)*width, 360), ToDeg: (float64(s) + 0.5) * width,
				Night: t.At(-1, s, false), Day: t.At(-1, s, true),
			})
		}
	}
	return out
}

// liftError places a refused height at the tower it belongs to, or at the wind source where that is what is too low.
func liftError(err error, tower int, fromM float64, site resource.Ground) error {
	if errors.Is(err, resource.ErrInsideCanopy) && fromM <= site.DisplacementM+site.RoughnessM {
		return invalid("wind", "the measuring height of %g m is inside what covers the ground; describe the ground where the "+
			"wind was measured in wind.measured_over (%s)", fromM, err)
	}
	return invalid(fmt.Sprintf("towers[%d].hub_height_m", tower), "%s", err)
}
