package assess

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

const (
	// obstacleError is the relative error of a computed deficit behind an obstacle. Judgement, on the scatter of fence
	// measurements about the formula.
	obstacleError = 0.3
	// leastKept is the share of its wind that a sensor behind obstacles must keep for its loss to be undone in full: a formula
	// good to a third of the deficit cannot undo more. Judgement.
	leastKept = 0.7
)

// place is what is known of where the wind was measured.
type place uint8

const (
	elsewhere   place = iota // not among what stands around the mast
	here                     // among it: the sensors have seen what the hub sees
	unknownHere              // not told: obstacles count in full and a hill gives nothing
)

// placeOf is where the wind was measured, as far as the request or the record tell.
func placeOf(r *Request) place {
	w := &r.Wind
	switch {
	case w.MeasuredHere != nil && *w.MeasuredHere:
		return here
	case w.MeasuredHere != nil || w.MeasuredOver != nil:
		return elsewhere
	}
	return unknownHere
}

// surroundings are the obstacles and the relief, and whether the sensors stood among them.
type surroundings struct {
	obstacles []shelter.Obstacle
	relief    []terrain.Relief
	roughness func(direction int) float64
	place     place
	lifeYears int
	given     bool
	warn      warner
	sensor    *sensorEffects // at sensorM, once it is known
	sensorM   float64
}

func newSurroundings(r *Request, p *profile, warn warner) surroundings {
	s := surroundings{
		obstacles: r.Site.Obstacles, relief: r.Site.Relief, place: placeOf(r), lifeYears: r.Money.LifeYears, warn: warn,
		roughness: func(d int) float64 { return p.site.Near(d).RoughnessM },
	}
	s.given = len(s.obstacles)+len(s.relief)+len(p.site.Patches) > 0
	if r.Site.Obstacles == nil {
		warn("obstacles_unknown", "trees and houses around the mast are not described: behind them the wind can lose a third of its speed "+
			"and more than half of its energy; describe them, or say that there are none (site.obstacles, an empty list)")
	}
	for _, w := range terrain.ReliefWarnings(s.relief) {
		warn(w.Code, "%s", w.Detail)
	}
	if s.place == unknownHere && len(s.obstacles)+len(s.relief) > 0 {
		warn("measured_here_unknown", "it is not said whether the wind was measured at the mast's own place, behind the same trees and on the "+
			"same hill: obstacles count in full and the hill gives nothing; say wind.measured_here: true or false")
	}
	s.warnDoubleCover(p)
	return s
}

// warnDoubleCover looks for obstacles that stand in ground whose roughness already is that of such obstacles.
func (s *surroundings) warnDoubleCover(p *profile) {
	const roughnessOfHeight = 15 // height of what covers a ground over its roughness length, at most; handbook rule, from memory
	var names []string
	for i, o := range s.obstacles {
		d := int(math.Mod(o.BearingDeg/10+0.5, terrain.DirectionCount))
		if g := p.site.Near(d); g.RoughnessM >= o.HeightM/roughnessOfHeight || g.DisplacementM > 0 {
			names = appendName(names, s.obstacles, i)
		}
	}
	if len(names) > 0 {
		s.warn("obstacle_in_cover", "%s may count twice: the ground in that direction is described as covered by things of that height; describe "+
			"what stands close by as obstacles, and the ground as what lies between them", strings.Join(names, " and "))
	}
}

// effects is what the surroundings do to the wind at one hub.
type effects struct {
	step      directions // what the speeds are multiplied by
	low, high directions // the same at both ends of the stated errors, over step
	shown     [terrain.DirectionCount]DirectionEffects
	warnings  []Warning
}

func (e *effects) warn(code, format string, args ...any) {
	e.warnings = append(e.warnings, Warning{Code: code, Detail: fmt.Sprintf(format, args...)})
}

// sensorEffects are the surroundings where the wind was measured.
type sensorEffects struct {
	kept   directions // by the obstacles as they stand today, at least leastKept
	relief [terrain.DirectionCount]terrain.Exposure
	capped []string // obstacles that take more than can be undone
	worst  float64  // share lost, in the worst direction
}

// at finds the effects at a hub, on wind measured at fromM; nil where nothing is given that has any. A hub in the eddy right behind
// an obstacle is refused.
func (s *surroundings) at(tower int, fromM, hubM float64, ground *exposures) (*effects, error) {
	if !s.given {
		return nil, nil
	}
	e := new(effects)
	for d := range e.step {
		e.step[d], e.low[d], e.high[d] = 1, 1, 1
		e.shown[d] = DirectionEffects{Ground: nan, Obstacle: 1, Relief: 1}
		if ground != nil {
			x := ground.step[d]
			e.low[d], e.high[d] = x.Low/x.Factor, x.High/x.Factor
			e.shown[d].Ground = ground.hub[d].Factor
		}
	}
	if len(s.obstacles)+len(s.relief) == 0 {
		return e, nil
	}
	sensor, err := s.atSensor(fromM)
	if err != nil {
		return nil, err
	}
	if err := s.addObstacles(e, sensor, tower, hubM); err != nil {
		return nil, err
	}
	return e, s.addRelief(e, sensor, hubM)
}

func (s *surroundings) addObstacles(e *effects, sensor *sensorEffects, tower int, hubM float64) error {
	if len(s.obstacles) == 0 {
		return nil
	}
	mean, first, last := shelter.OverLife(s.obstacles, hubM, s.roughness, s.lifeYears)
	if len(first.Refused) > 0 {
		return invalid(fmt.Sprintf("towers[%d].hub_height_m", tower), "a hub at %g m is in the eddy behind %s, where no formula holds and no "+
			"turbine lasts: %s", hubM, s.refused(first.Refused), first.Refused[0].Why)
	}
	if len(last.Refused) > 0 {
		e.warn("trees_outgrow", "before the %d years are over this hub will be in the eddy behind %s: plan to cut it back, or go higher",
			s.lifeYears, s.refused(last.Refused))
	}
	if len(sensor.capped) > 0 {
		e.warn("sensor_sheltered", "the sensors stood behind %s, which takes up to %.0f %% of their wind: no formula can undo that, and no more "+
			"than %.0f %% of it was undone; measure higher, or further away", strings.Join(sensor.capped, " and "), 100*sensor.worst, 100*(1-leastKept))
	}
	for d := range e.step {
		kept, at := mean.Factor[d], sensor.kept[d]
		e.shown[d].Obstacle, e.shown[d].AddedTurbulence = kept, mean.AddedTurbulence[d]
		e.step[d] *= kept / at
		if kept > 0 && kept != at {
			// One error of the deficits goes through both at once.
			ratio := func(off float64) float64 {
				return math.Max(0, 1-off*(1-kept)) / math.Max(leastKept/2, 1-off*(1-at)) / (kept / at)
			}
			a, b := ratio(1+obstacleError), ratio(1-obstacleError)
			e.low[d] *= math.Min(a, b)
			e.high[d] *= math.Max(a, b)
		}
	}
	return nil
}

// atSensor is what stands around the place where the wind was measured, kept for the next hub: nothing but where it was
// measured here.
func (s *surroundings) atSensor(fromM float64) (*sensorEffects, error) {
	if s.sensor != nil && s.sensorM == fromM {
		return s.sensor, nil
	}
	var out sensorEffects
	for d := range out.kept {
		out.kept[d], out.relief[d] = 1, terrain.Exposure{Factor: 1, Low: 1, High: 1}
	}
	if s.place == here {
		if err := s.seeFrom(&out, fromM); err != nil {
			return nil, err
		}
	}
	s.sensor, s.sensorM = &out, fromM
	return &out, nil
}

func (s *surroundings) seeFrom(out *sensorEffects, fromM float64) error {
	found := shelter.At(s.obstacles, fromM, s.roughness, 0)
	for d, kept := range found.Factor {
		out.kept[d] = kept
		inEddy := slices.ContainsFunc(found.Refused, func(r shelter.Refusal) bool { return r.Directions[d] })
		if !(kept >= leastKept) || inEddy {
			out.kept[d] = leastKept
			out.worst = math.Max(out.worst, 1-math.Max(0, kept))
			if w := found.Worst.Obstacle; w >= 0 {
				out.capped = appendName(out.capped, s.obstacles, w)
			}
		}
	}
	for _, r := range found.Refused {
		out.capped = appendName(out.capped, s.obstacles, r.Obstacle)
		out.worst = 1
	}
	if len(s.relief) == 0 {
		return nil
	}
	var err error
	if out.relief, err = terrain.ReliefFactors(s.relief, fromM); err != nil {
		return invalid("site.relief", "%s", err)
	}
	return nil
}

// sheltered is by how much the shear exponent between two sensors here is too high, or too low, for what stands around, by
// direction: their share of it is taken out before the profile is followed, and the hub's put in after.
func (s *surroundings) sheltered(lowM, highM float64) (*directions, error) {
	var out directions
	if s.place != here || len(s.obstacles)+len(s.relief) == 0 || !(lowM > 0) {
		return &out, nil
	}
	low, err := s.atSensor(lowM)
	if err != nil {
		return nil, err
	}
	high, err := s.atSensor(highM)
	if err != nil {
		return nil, err
	}
	for d := range out {
		out[d] = math.Log(high.kept[d]*high.relief[d].Factor/(low.kept[d]*low.relief[d].Factor)) / math.Log(highM/lowM)
	}
	return &out, nil
}

func (s *surroundings) refused(list []shelter.Refusal) string {
	var names []string
	for _, r := range list {
		names = appendName(names, s.obstacles, r.Obstacle)
	}
	return strings.Join(names, " and ")
}

// appendName adds how the user knows an obstacle, once: the pieces of one hedge share its name.
func appendName(names []string, obstacles []shelter.Obstacle, i int) []string {
	if n := obstacleName(obstacles, i); !slices.Contains(names, n) {
		return append(names, n)
	}
	return names
}

func obstacleName(obstacles []shelter.Obstacle, i int) string {
	if n := obstacles[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("site.obstacles[%d]", i)
}

func (s *surroundings) addRelief(e *effects, sensor *sensorEffects, hubM float64) error {
	if len(s.relief) == 0 {
		return nil
	}
	for _, w := range terrain.ReliefHeightWarnings(s.relief, hubM) {
		e.warn(w.Code, "%s", w.Detail)
	}
	hub, err := terrain.ReliefFactors(s.relief, hubM)
	if err != nil {
		return invalid("site.relief", "%s", err)
	}
	for d := range e.step {
		h, at := hub[d], sensor.relief[d]
		e.shown[d].Relief = h.Factor
		if s.place == unknownHere {
			e.shown[d].Relief = 1
			continue
		}
		ratio := h.Factor / at.Factor
		e.step[d] *= ratio
		// Both ends share one error of the speed-up, so it goes through both factors at once.
		a, b := h.Low/at.Low/ratio, h.High/at.High/ratio
		e.low[d] *= math.Min(a, b)
		e.high[d] *= math.Max(a, b)
	}
	return nil
}

// answer weighs the effects by where the wind at the hub comes from.
func (s *surroundings) answer(e *effects, meanMS float64, w *weights) *Surroundings {
	var flow, open, flat, low, high, time, added float64
	for d, f := range w.flow {
		flow += f
		if kept := e.shown[d].Obstacle; kept > 0 {
			open += f / kept
		}
		flat += f / e.shown[d].Relief
		low += f * e.low[d]
		high += f * e.high[d]
		time += w.time[d]
		added += w.time[d] * e.shown[d].AddedTurbulence
	}
	return &Surroundings{
		ObstacleLossShare: 1 - flow/open, ReliefGainShare: flow/flat - 1,
		SpeedLowMS: meanMS * low / flow, SpeedHighMS: meanMS * high / flow,
		AddedTurbulence: added / time, InMeasuredWind: s.place == here, Directions: e.shown,
	}
}

// weights say where the wind at a hub comes from, by direction.
type weights struct {
	flow directions // sum of speeds
	time directions // sum of time
}

// judgeSiting holds the published rules against a tower.
func (a *assessment) judgeSiting(hubM float64) []Siting {
	r := &a.r
	if len(r.Site.Obstacles) == 0 {
		return nil
	}
	judged := shelter.JudgeSiting(r.Site.Obstacles, hubM, r.Turbine.RotorDiameterM, float64(r.Money.LifeYears))
	out := make([]Siting, len(judged))
	for i, j := range judged {
		out[i] = Siting{Rule: j.Rule, Words: j.Words, Source: j.Source, Broken: j.Broken, LowestHubM: j.LowestHubM}
		if j.LowestHubM == 0 {
			out[i].LowestHubM = nan // nothing is within its reach
		}
		for _, o := range j.By {
			out[i].By = appendName(out[i].By, r.Site.Obstacles, o)
		}
	}
	return out
}

// provenance names the formulas, where there is anything for them.
func (s *surroundings) provenance() []Provenance {
	var out []Provenance
	if len(s.obstacles) > 0 {
		out = append(out, Provenance{
			What: "surroundings.obstacle_factor",
			Method: "deficit behind a porous fence, narrowed by the share of a 30 degree sector that each obstacle fills, over the turbine's life; " +
				s.placeWords(),
			Source: "Perera 1981 (from memory); the narrowing is common practice; good to 30 % of the deficit",
		})
	}
	if len(s.relief) > 0 {
		out = append(out, Provenance{What: "surroundings.relief_factor", Method: "speed-up over small-scale relief; " + s.placeWords(),
			Source: "Taylor & Lee 1984 (coefficients from memory); good to 30 % of the speed-up"})
	}
	return out
}

func (s *surroundings) placeWords() string {
	switch s.place {
	case here:
		return "the sensors stood in the same surroundings, whose share in their wind is taken out first"
	case unknownHere:
		return "where the wind was measured is not known: obstacles count in full, a hill not at all"
	default:
		return "the wind was measured elsewhere"
	}
}
