package document

import (
	"errors"
	"fmt"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/balance"
)

// What a rotor to be balanced may be, as the contract has it.
const (
	defaultRPM    = 300
	maxRPM        = 1e5
	leastTipM     = 0.05
	furthestTipM  = balance.MaxCentreM
	massAtTipCode = "mass_at_tip_unknown"
)

// DecodeBalance reads blades to be put in order.
func DecodeBalance(data []byte, s Syntax) (openapi.BalanceInput, error) {
	return decodePart(data, s, balancePlan, func(s *shape, in *openapi.BalanceInput) { s.balance(in) })
}

// CheckBalance is what is wrong with blades that were not read from a document; nil for nothing. The faults have no line.
func CheckBalance(in *openapi.BalanceInput) []FieldError {
	var s shape
	s.balance(in)
	return s
}

func (s *shape) balance(in *openapi.BalanceInput) {
	blades := func(at string, v []float64, least, most float64, unit string) {
		if n := len(v); n < balance.MinBlades || n > balance.MaxBlades {
			s.add(at, "must have from %d to %d blades, not %d", balance.MinBlades, balance.MaxBlades, n)
		}
		for i := range v {
			s.bounds("", []bound{{at + indexed(i), &v[i], least, most, unit, false}})
		}
	}
	blades("masses_g", in.MassesG, balance.MinMassG, balance.MaxMassG, "g")
	if in.CentresM != nil {
		blades("centres_m", in.CentresM, balance.MinCentreM, balance.MaxCentreM, "m")
		if len(in.CentresM) != len(in.MassesG) {
			s.add("centres_m", "must have one for each of the %d masses, not %d", len(in.MassesG), len(in.CentresM))
		}
	}
	s.bounds("", []bound{{"rpm", in.RPM, 1, maxRPM, "rpm", false}, {"tip_radius_m", in.TipRadiusM, leastTipM, furthestTipM, "m", false}})
}

// BalanceOf puts blades in order, as far as Decode has found nothing wrong with them.
func BalanceOf(in openapi.BalanceInput) (openapi.Balance, error) {
	blades := make([]balance.Blade, len(in.MassesG))
	for i, m := range in.MassesG {
		blades[i] = balance.Blade{MassG: m, CentreM: nan}
		if in.CentresM != nil {
			blades[i].CentreM = in.CentresM[i]
		}
	}
	r, err := balance.Arrange(blades)
	if err != nil {
		return openapi.Balance{}, &Error{Fields: []FieldError{balanceFault(err)}}
	}
	return fromBalance(&r, value(in.RPM, defaultRPM), value(in.TipRadiusM, nan)), nil
}

// balanceFault places what Arrange refuses.
func balanceFault(err error) FieldError {
	f := FieldError{Location: "masses_g", Detail: err.Error()}
	var fault *balance.Fault
	if errors.As(err, &fault) {
		f.Detail = fault.Reason
		if fault.Field == "centre" {
			f.Location = "centres_m"
		}
		if fault.Index >= 0 {
			f.Location += indexed(fault.Index)
		}
	}
	return f
}

func fromBalance(r *balance.Result, rpm, tipM float64) openapi.Balance {
	var n memory
	out := openapi.Balance{
		ImbalanceGm: n.figure(r.ImbalanceGM), DirectionDeg: n.figure(r.DirectionDeg), AsGivenGm: n.figure(r.AsGivenGM), CentreKnown: r.CentreKnown,
		MeanG: n.figure(r.MeanG), SpreadG: n.figure(r.SpreadG), RPM: rpm, Lighten: make([]openapi.BladeTrim, len(r.Lighten)),
		Counter: openapi.Counterweight{MomentGm: n.figure(r.Counter.GM), AngleDeg: n.figure(r.Counter.AngleDeg)},
		Order:   make([]int, len(r.Order)),
	}
	for i, b := range r.Order {
		out.Order[i] = b + 1
	}
	if r.CentreKnown {
		out.ForceN, out.ForceAsGivenN = n.figure(r.Force(rpm)), n.figure(r.ForceAsGiven(rpm))
	}
	// Off the centre of gravity a mass is told by the lever, which wants the centre's own radius.
	place := func(massAt func(float64) float64, massAtCentre, centreM float64) (mass, radius *float64) {
		if tipM == tipM {
			return n.figure(massAt(tipM)), n.or(tipM)
		}
		return n.figure(massAtCentre), n.figure(centreM)
	}
	c := &r.Counter
	out.Counter.MassG, out.Counter.RadiusM = place(c.MassAt, c.MassAtCentre(), c.CentreM)
	for i, t := range r.Lighten {
		out.Lighten[i] = openapi.BladeTrim{Blade: t.Blade + 1, MomentGm: n.figure(t.GM)}
		out.Lighten[i].MassG, out.Lighten[i].RadiusM = place(t.MassAt, t.MassAtCentre(), t.CentreM)
	}
	warnings := r.Warnings
	if tipM == tipM && !r.CentreKnown && len(r.Lighten) > 0 {
		warnings = append(warnings, tipUnknown(r, tipM))
	}
	out.Warnings = fromWarnings(warnings, 0)
	return out
}

// tipUnknown says why no mass is told at the tip, and how to get it by hand.
func tipUnknown(r *balance.Result, tipM float64) assess.Warning {
	t := &r.Lighten[0]
	return assess.Warning{Code: massAtTipCode, Detail: fmt.Sprintf("what to take off at %g m cannot be told while the centres of gravity are "+
		"unknown; it is the mass at the centre, such as %.3g g for blade %d, times the centre's radius over %g m. Give each blade's centre of "+
		"gravity to have it worked out", tipM, t.GM, t.Blade+1, tipM)}
}
