package assess

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
)

// obstacleError is the relative error of a computed deficit behind an obstacle. Judgement, on the scatter of fence
// measurements about the formula.
const obstacleError = 0.3

// surroundings are the obstacles and the relief, and whether the sensors stood among them.
type surroundings struct {
	obstacles []shelter.Obstacle
	relief    []terrain.Relief
	rose      *directions
	roughness func(direction int) float64
	here      bool // the wind was measured at the mast's own place
	followed  bool // by its own profile, which then holds what stands around
	lifeYears int
	given     bool
	warn      warner
	sensor    *shelter.Shelter // at sensorM
	sensorM   float64
}

func newSurroundings(r *Request, p *profile, warn warner) surroundings {
	s := surroundings{
		obstacles: r.Site.Obstacles, relief: r.Site.Relief, rose: p.rose, lifeYears: r.Money.LifeYears, warn: warn,
		here:      r.Wind.MeasuredHere != nil && *r.Wind.MeasuredHere,
		roughness: func(d int) float64 { return p.site.Near(d).RoughnessM },
	}
	s.followed = s.here && p.method == ShearMeasured && !p.elsewhere
	s.given = len(s.obstacles)+len(s.relief)+len(p.site.Patches) > 0
	if r.Site.Obstacles == nil {
		warn("obstacles_unknown", "trees and houses around the mast are not described: behind them the wind can lose a third of its speed "+
			"and more than half of its energy; list them in site.obstacles, or give an empty list if there are none")
	}
	for _, w := range terrain.ReliefWarnings(s.relief) {
		warn(w.Code, "%s", w.Detail)
	}
	return s
}

// effects is what the surroundings do to the wind at one hub.
type effects struct {
	step      directions // what the speeds are multiplied by
	low, high directions // the same at both ends of the stated errors, over step
	shown     [terrain.DirectionCount]DirectionEffects
}

// at finds the effects at a hub, on wind measured at fromM. A hub in the eddy right behind an obstacle is refused.
func (s *surroundings) at(tower int, fromM, hubM float64, ground *exposures) (effects, error) {
	var e effects
	for d := range e.step {
		e.step[d], e.low[d], e.high[d] = 1, 1, 1
		e.shown[d] = DirectionEffects{Ground: nan, Obstacle: 1, Relief: 1}
		if ground != nil {
			x, hub := ground.step[d], ground.hub[d]
			e.low[d], e.high[d] = x.Low/x.Factor, x.High/x.Factor
			e.shown[d].Ground = hub.Factor
		}
	}
	if err := s.addObstacles(&e, tower, fromM, hubM); err != nil {
		return e, err
	}
	return e, s.addRelief(&e, fromM, hubM)
}

func (s *surroundings) addObstacles(e *effects, tower int, fromM, hubM float64) error {
	if len(s.obstacles) == 0 {
		return nil
	}
	mean, first, last := shelter.OverLife(s.obstacles, hubM, s.roughness, s.lifeYears)
	if len(first.Refused) > 0 {
		return invalid(fmt.Sprintf("towers[%d].hub_height_m", tower), "a hub at %g m is in the eddy behind %s, where no formula holds and no "+
			"turbine lasts: go higher, or further away", hubM, s.refused(first.Refused))
	}
	if len(last.Refused) > 0 {
		s.warn("trees_outgrow", "before the %d years are over a hub at %g m will be in the eddy behind %s: plan to cut it back, or go higher",
			s.lifeYears, hubM, s.refused(last.Refused))
	}
	before := first
	if s.here && !s.followed {
		before = s.atSensor(fromM)
		if len(before.Refused) > 0 {
			s.warn("sensor_sheltered", "the wind was measured at %g m in the eddy behind %s: what it shows from there says little about the "+
				"wind above, and is used as it stands", fromM, s.refused(before.Refused))
		}
	}
	for d := range e.step {
		kept := mean.Factor[d]
		e.shown[d].Obstacle, e.shown[d].AddedTurbulence = kept, mean.AddedTurbulence[d]
		at := 1.0
		if s.here {
			at = before.Factor[d]
		}
		ratio := kept / at
		if !(at > 0) || s.here && inEddy(before.Refused, d) {
			ratio = 1
		}
		e.step[d] *= ratio
		if kept > 0 && ratio != 1 {
			off := obstacleError * math.Abs(at-kept) / kept
			e.low[d] *= math.Max(0, 1-off)
			e.high[d] *= 1 + off
		}
	}
	return nil
}

// atSensor is the shelter where the wind was measured, kept for the next hub.
func (s *surroundings) atSensor(fromM float64) shelter.Shelter {
	if s.sensor == nil || s.sensorM != fromM {
		found := shelter.At(s.obstacles, fromM, s.roughness, 0)
		s.sensor, s.sensorM = &found, fromM
	}
	return *s.sensor
}

// inEddy reports whether a direction is one of a refusal's.
func inEddy(refused []shelter.Refusal, direction int) bool {
	for _, r := range refused {
		if r.Directions[direction] {
			return true
		}
	}
	return false
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

func (s *surroundings) addRelief(e *effects, fromM, hubM float64) error {
	if len(s.relief) == 0 {
		return nil
	}
	for _, w := range terrain.ReliefHeightWarnings(s.relief, hubM) {
		s.warn(w.Code, "%s", w.Detail)
	}
	hub, err := terrain.ReliefFactors(s.relief, hubM)
	if err != nil {
		return invalid("site.relief", "%s", err)
	}
	sensor := hub // a followed profile holds the relief already
	if !s.followed {
		if sensor, err = terrain.ReliefFactors(s.relief, fromM); err != nil {
			return invalid("site.relief", "%s", err)
		}
	}
	for d := range e.step {
		h := hub[d]
		e.shown[d].Relief = h.Factor
		if !s.here {
			e.step[d] *= h.Factor
			e.low[d] *= h.Low / h.Factor
			e.high[d] *= h.High / h.Factor
			continue
		}
		ratio := h.Factor / sensor[d].Factor
		e.step[d] *= ratio
		// Both ends share one error of the speed-up, so it goes through both factors at once.
		a, b := h.Low/sensor[d].Low/ratio, h.High/sensor[d].High/ratio
		e.low[d] *= math.Min(a, b)
		e.high[d] *= math.Max(a, b)
	}
	return nil
}

// answer weighs the effects by where the wind at the hub comes from: flow is the sum of speeds, time the number of samples,
// by direction; the last is of no direction and is spread over the rose.
func (s *surroundings) answer(e *effects, meanMS float64, w *weights) *Surroundings {
	if !s.given {
		return nil
	}
	var flow, open, flat, low, high, time, added float64
	for d := range e.step {
		f := w.flow[d] + s.rose[d]*w.flow[noDirection]
		t := w.time[d] + s.rose[d]*w.time[noDirection]
		flow += f
		if kept := e.shown[d].Obstacle; kept > 0 {
			open += f / kept
		}
		flat += f / e.shown[d].Relief
		low += f * e.low[d]
		high += f * e.high[d]
		time += t
		added += t * e.shown[d].AddedTurbulence
	}
	return &Surroundings{
		ObstacleLossShare: 1 - flow/open, ReliefGainShare: flow/flat - 1,
		SpeedLowMS: meanMS * low / flow, SpeedHighMS: meanMS * high / flow,
		AddedTurbulence: added / time, Directions: e.shown,
	}
}

// weights say where the wind at a hub comes from.
type weights struct {
	flow [noDirection + 1]float64 // sum of speeds
	time [noDirection + 1]float64 // sum of time
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
	switch {
	case s.followed:
		return "the measured profile holds what stands around today"
	case s.here:
		return "the sensors stood in the same surroundings"
	}
	return "the wind was measured elsewhere"
}
