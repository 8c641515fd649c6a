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
	exponent    float64              // of the power law
	table       *resource.ShearTable // of the measured profile
	source      string
	// roughest is the roughest ground the mast stands on in any direction, highestCover the greatest displacement height, m.
	roughest     resource.Ground
	highestCover float64
}

// byDirection is the ground at both places, worked out for all directions once.
type byDirection struct{ over, site *terrain.Prepared }

// workOut prepares the ground of both places by direction.
func (p *profile) workOut() error {
	if len(p.over.Patches)+len(p.site.Patches) == 0 {
		return nil
	}
	var out byDirection
	var err error
	if out.site, err = terrain.Prepare(p.site); err != nil {
		return invalid("site.ground", "%s", err)
	}
	out.over = out.site
	if p.elsewhere {
		if out.over, err = terrain.Prepare(p.over); err != nil {
			return invalid("wind.measured_over", "%s", err)
		}
	}
	p.byDirection = &out
	return nil
}

type warner func(code, format string, args ...any)

// newProfile settles the method. groundGiven says whether the user described the ground, which auto prefers to know.
func newProfile(r *Request, groundGiven bool, warn warner) (profile, error) {
	p := profile{site: r.Site.Ground.physical()}
	p.lookAround()
	p.over = p.site
	if g := r.Wind.MeasuredOver; g != nil {
		p.over = g.physical()
		p.elsewhere = !sameGround(p.over, p.site)
		groundGiven = true
	}
	method := r.Shear.Method
	if method == ShearAuto || method == ShearMeasured {
		followed, err := p.followRecord(r, warn)
		if followed && err == nil && p.elsewhere {
			err = p.workOut()
		}
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
		if err := p.workOut(); err != nil {
			return p, err
		}
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
		p.source = fmt.Sprintf("speeds at %s m and %s m of the record, by month, day and night and, with a vane, by sector where data "+
			"allow; exponent over all %.3f", metres(table.LowM), metres(table.HighM), table.Overall)
		if len(p.site.Patches) > 0 && !p.elsewhere {
			warn("ground_sectors_ignored", "the record's own profile is followed, which has the ground in it: site.ground.sectors are not "+
				"used; choose shear method log to use them, or say wind.measured_over if it stood elsewhere")
		}
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

// lookAround finds what covers the ground most around the mast.
func (p *profile) lookAround() {
	p.roughest = p.site.Near(0)
	for d := range p.directions() {
		g := p.site.Near(d)
		if coverOf(g) > coverOf(p.roughest) {
			p.roughest = g
		}
		p.highestCover = max(p.highestCover, g.DisplacementM)
	}
}

// directions is in how many directions to look at the ground: one where all are alike.
func (p *profile) directions() int {
	if len(p.site.Patches)+len(p.over.Patches) == 0 {
		return 1
	}
	return terrain.DirectionCount
}

// coverOf is about how high the things are that make a ground as rough as it is, m.
func coverOf(g resource.Ground) float64 {
	return max(g.DisplacementM/canopyOfDisplacement, g.RoughnessM/roughnessOfCanopy)
}

// warnStep tells of a measured profile that is carried from one ground to another far above its sensors.
func (p *profile) warnStep(highestM float64, warn warner) {
	if p.method == ShearMeasured && p.elsewhere && resource.BlendingHeightM > farthestExtrapolation*highestM {
		warn("transfer_far", "the wind is carried from one ground to the other at %d m, more than three times as high as it was measured (%s m)",
			resource.BlendingHeightM, metres(highestM))
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

// lift is the step from one height to another, and what the ground is to the hub by direction (nil where the same factor
// serves all). sheltered is by how much the exponent of a profile measured at the mast is too high for what stands around.
func (p *profile) lift(fromM, toM float64, sheltered *directions) (lift, *exposures, error) {
	if err := p.above(fromM, toM); err != nil {
		return lift{}, nil, err
	}
	switch p.method {
	case ShearPower:
		f, err := resource.PowerFactor(p.exponent, fromM-p.over.Everywhere.DisplacementM, toM-p.site.Everywhere.DisplacementM)
		return lift{all: f}, nil, err
	case ShearMeasured:
		return p.measuredLift(fromM, toM, sheltered)
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
	l.scale(factorsOf(&step))
	return l, &exposures{step: step, hub: hub}, nil
}

// sensorTooLow says that the wind was measured inside what covers the ground there.
type sensorTooLow struct{ err error }

func (e *sensorTooLow) Error() string { return e.err.Error() }
func (e *sensorTooLow) Unwrap() error { return e.err }

// above fails where hub or sensor is inside what covers the ground in any direction, whatever the method.
func (p *profile) above(fromM, toM float64) error {
	for d := range p.directions() {
		if _, err := resource.LogFactor(p.site.Near(d), resource.BlendingHeightM, toM); err != nil && errors.Is(err, resource.ErrInsideCanopy) {
			return err
		}
		if _, err := resource.LogFactor(p.over.Near(d), resource.BlendingHeightM, fromM); err != nil && errors.Is(err, resource.ErrInsideCanopy) {
			return &sensorTooLow{err}
		}
	}
	return nil
}

// exposures are the ground's factors by direction: of the whole step, and of the hub over the wind at 60 m.
type exposures struct {
	step, hub [terrain.DirectionCount]terrain.Exposure
}

// measuredLift follows the measured profile to the hub. Where the record stood over other ground than the site's, the wind at
// hub height there is carried up to the blending height and brought down over the site's ground by the logarithmic law.
func (p *profile) measuredLift(fromM, toM float64, sheltered *directions) (lift, *exposures, error) {
	down := &exposures{}
	switch {
	case !p.elsewhere:
		for d := range down.step {
			down.step[d] = terrain.Exposure{Factor: 1, Low: 1, High: 1}
		}
	case p.byDirection != nil:
		step, err := p.byDirection.site.TransferFrom(p.byDirection.over, toM, toM)
		if err != nil {
			return lift{}, nil, err
		}
		down.step = step
	default:
		f, err := resource.ExposureFactor(p.over.Everywhere, p.site.Everywhere, toM, toM)
		if err != nil {
			return lift{}, nil, err
		}
		for d := range down.step {
			down.step[d] = terrain.Exposure{Factor: f, Low: f, High: f}
		}
	}
	l := lift{all: 1}
	l.split()
	height := math.Log(toM / fromM)
	for month := range l.by {
		for when := range 2 {
			var exponents [resource.SectorCount]float64
			for s := range exponents {
				exponents[s] = p.table.At(month, s, when == 1).Exponent
			}
			for d := range l.by[month] {
				l.by[month][d][when] = down.step[d].Factor * math.Exp(height*(exponents[sectorOf(d)]-sheltered[d]))
			}
		}
	}
	// The exponent's own error goes into the band.
	off := 0.0
	if se := p.table.OverallClass().StandardError; se == se {
		off = math.Abs(height) * se
	}
	for d := range down.step {
		e := &down.step[d]
		e.Low, e.High = e.Low*math.Exp(-off), e.High*math.Exp(off)
		down.hub[d].Factor = nan
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
		out.Months = make([]MonthShear, 12)
		const width = 360.0 / resource.SectorCount
		for m := range out.Months {
			out.Months[m] = MonthShear{Night: t.At(m, -1, false), Day: t.At(m, -1, true)}
		}
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
func liftError(err error, tower int, fromM float64) error {
	var low *sensorTooLow
	if errors.As(err, &low) {
		return invalid("wind", "the measuring height of %g m is inside what covers the ground; describe the ground where the "+
			"wind was measured in wind.measured_over (%s)", fromM, err)
	}
	return invalid(fmt.Sprintf("towers[%d].hub_height_m", tower), "%s", err)
}
