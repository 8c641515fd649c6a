package drive

import (
	"fmt"
	"math"

	"mastworth/yield"
)

// Cause is what holds a combination back most.
type Cause string

// The causes. Matched means that no single one takes much.
const (
	Matched     Cause = "matched"
	Starved     Cause = "generator_starved"  // the generator does not reach charging speed in the wind there is
	HeldSlow    Cause = "rotor_stalled"      // the load holds the rotor far below its best tip-speed ratio
	RunsFast    Cause = "rotor_runs_fast"    // the load lets the rotor run far above it
	FurledEarly Cause = "furled_early"       // turned out of the wind while it could make more
	Resistance  Cause = "electrical_losses"  // winding, rectifier, wire, converter
	Friction    Cause = "gear_and_iron_loss" // gear, iron, eddy currents
)

// matchedShare is the part of what the rotor could take up to which a loss is no cause (judgement).
const matchedShare = 0.15

// Lost is where the power goes that the rotor at its best tip-speed ratio, always facing the wind, would take, as means in W in the
// site's wind. PossibleW = DeliveredW + all the others.
type Lost struct {
	PossibleW     float64
	DeliveredW    float64
	FurledW       float64 // by facing away
	StarvedW      float64 // in winds in which no current flows
	HeldSlowW     float64 // by turning below the best ratio, current flowing
	RunsFastW     float64 // by turning above it, current flowing
	FrictionW     float64 // in gear and iron, current flowing
	ElectricalW   float64 // in winding, rectifier, wire and load
	StarvedUpToMS float64 // m/s, the highest wind without current below FurlMS; 0: none
	StalledAtMS   float64 // m/s, the wind at which holding slow costs the site most; 0: none
	StalledRatio  float64 // tip-speed ratio there, over the best
}

// Weights finds what a watt at each of some winds in m/s is worth in the mean, W/W. A mean power is linear in the powers of a curve's
// points, so that the peaked curve with power at one wind alone tells. It fails for winds or a density that make no curve.
func Weights(rho float64, winds []float64, meanPower func(*yield.Curve) float64) ([]float64, error) {
	const peakW = 1000
	weights := make([]float64, len(winds))
	points := make([]yield.Point, len(winds))
	for i, v := range winds {
		points[i].SpeedMS = v
	}
	for i := range winds {
		points[i].PowerW = peakW
		c, err := yield.NewCurve(points, rho)
		if err != nil {
			return nil, fmt.Errorf("weighing the winds: %w", err)
		}
		weights[i] = meanPower(c) / peakW
		points[i].PowerW = 0
	}
	return weights, nil
}

// lost takes the possible power apart, wind by wind.
func (t *train) lost(points []Point, weights []float64) Lost {
	var l Lost
	worst := 0.0
	for i := range points {
		p, weight := &points[i], weights[i]
		free := t.half * t.facts.bestCp * p.WindMS * p.WindMS * p.WindMS
		faced := t.half * t.facts.bestCp * p.ThroughRotorMS * p.ThroughRotorMS * p.ThroughRotorMS
		l.PossibleW += weight * free
		l.FurledW += weight * (free - faced)
		switch {
		case !(p.CurrentA > 0):
			l.StarvedW += weight * faced
			if p.WindMS <= t.furlStart {
				l.StarvedUpToMS = p.WindMS
			}
			continue
		case p.Lambda < t.facts.best:
			cost := weight * (faced - p.AeroW)
			l.HeldSlowW += cost
			if cost > worst {
				worst, l.StalledAtMS, l.StalledRatio = cost, p.WindMS, p.Lambda/t.facts.best
			}
		default:
			l.RunsFastW += weight * (faced - p.AeroW)
		}
		l.FrictionW += weight * (p.GearLossW + p.IronLossW)
		l.ElectricalW += weight * (p.CopperLossW + p.DiodeLossW + p.WireLossW + p.LoadLossW)
		l.DeliveredW += weight * p.DeliveredW
	}
	return l
}

// why names the largest loss.
func (t *train) why(c *Candidate, r *Result) (Cause, string) {
	l := &c.Lost
	if !(l.PossibleW > 0) {
		return Starved, "There is no wind at the speeds tried."
	}
	if _, brake := t.load.(ShortCircuit); brake {
		return Resistance, "The winding is shorted as a brake: all current becomes heat in it, and nothing is delivered."
	}
	share := func(w float64) float64 { return 100 * w / l.PossibleW }
	cause, most := Matched, matchedShare*l.PossibleW
	for _, x := range []struct {
		cause Cause
		w     float64
	}{
		{Starved, l.StarvedW}, {HeldSlow, l.HeldSlowW}, {RunsFast, l.RunsFastW},
		{FurledEarly, l.FurledW}, {Resistance, l.ElectricalW}, {Friction, l.FrictionW},
	} {
		if x.w > most {
			cause, most = x.cause, x.w
		}
	}
	lead := fmt.Sprintf("Delivers %.0f %% of what the rotor at its best could take in this wind. ", share(l.DeliveredW))
	return cause, lead + t.because(cause, c, r, share) + t.ratingNote(c)
}

func (t *train) because(cause Cause, c *Candidate, r *Result, share func(float64) float64) string {
	l := &c.Lost
	switch cause {
	case Starved:
		if math.IsNaN(r.CutInMS) {
			return fmt.Sprintf("Generator starved: from rest it never reaches the %.0f rpm of the rotor at which charging begins. Gear it up, "+
				"wind more turns, or charge a lower voltage.", c.ChargingRPM)
		}
		return fmt.Sprintf("Generator starved: charging begins at %.0f rpm of the rotor, in %.1f m/s from rest, and %.0f %% blows by in winds "+
			"that bring no current. Gear it up, wind more turns, or charge a lower voltage.", c.ChargingRPM, r.CutInMS, share(l.StarvedW))
	case HeldSlow:
		return fmt.Sprintf("Rotor stalled: the load holds it too slow and that costs %.0f %%; in %.1f m/s, where it costs most, it turns at "+
			"%.0f %% of its best tip-speed ratio of %.1f. A smaller gear step, fewer turns or a higher voltage lets it run.",
			share(l.HeldSlowW), l.StalledAtMS, 100*l.StalledRatio, t.facts.best)
	case RunsFast:
		if at := t.limitAt(r.Points); at > 0 {
			return fmt.Sprintf("The converter is at its limit from %.1f m/s on and the rotor runs away from it; that and what else lets it run fast costs "+
				"%.0f %%. A converter that takes more, a dump load beside it, or furling before that holds it.", at, share(l.RunsFastW))
		}
		return fmt.Sprintf("The rotor runs too fast: the load is too light for its torque and that costs %.0f %%. A larger gear step, more turns "+
			"or a lower voltage loads it.", share(l.RunsFastW))
	case FurledEarly:
		return fmt.Sprintf("Furled early: it turns out of the wind from %.1f m/s, and %.0f %% blows above that. Furl later if generator, "+
			"blades and mast bear it.", r.FurlMS, share(l.FurledW))
	case Resistance:
		return fmt.Sprintf("Electrical losses: winding, rectifier, wire and converter turn %.0f %% into heat. A lower resistance or a higher "+
			"voltage loses less.", share(l.ElectricalW))
	case Friction:
		return fmt.Sprintf("Gear and iron: %.0f %% goes into gear, iron and eddy currents. A smaller gear step or a direct drive loses less.",
			share(l.FrictionW))
	}
	return "Well matched: no single loss takes more than 15 %."
}

// ratingNote says how much of the energy the winding would not live to make.
func (t *train) ratingNote(c *Candidate) string {
	over := c.AnnualKWh - c.WithinRatingKWh
	if !(over > 0.005*c.AnnualKWh) {
		return ""
	}
	return fmt.Sprintf(" %.0f %% of the year's energy would come at more than the rated %.3g A; furl earlier.", 100*over/c.AnnualKWh,
		t.machine.Generator.RatedCurrentA)
}
