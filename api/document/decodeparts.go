package document

import (
	"fmt"
	"reflect"

	"mastworth/openapi"
	"mastworth/yield/assess"
	"mastworth/yield/balance"
)

var (
	turbinePlan = newPlan(reflect.TypeFor[openapi.TurbineInput]())
	balancePlan = newPlan(reflect.TypeFor[openapi.BalanceInput]())
)

// decodePart reads a document that is no whole request. check looks at what the types cannot see.
func decodePart[T any](data []byte, s Syntax, p *plan, check func(*shape, *T)) (T, error) {
	var out, none T
	t, fault := scan(data, s)
	if fault != nil {
		return none, fault
	}
	defer t.free()
	b := binder{tree: t, path: make([]step, 0, 8)}
	b.bind(&t.nodes[1], p, reflect.ValueOf(&out).Elem())
	faults := b.faults
	if len(faults) == 0 {
		var found shape
		check(&found, &out)
		faults = found
	}
	if len(faults) > 0 {
		return none, &Error{Fields: t.placed(faults)}
	}
	return out, nil
}

// DecodeTurbine reads a turbine by itself, as the turbine of a request. Faults are placed within it.
func DecodeTurbine(data []byte, s Syntax) (openapi.TurbineInput, error) {
	return decodePart(data, s, turbinePlan, func(s *shape, in *openapi.TurbineInput) {
		var found shape
		found.turbine("turbine", in)
		*s = append(*s, withinTurbine(found)...)
		if in.Curve != nil {
			s.add("curve", "is a curve that is kept already; give power_curve, design or test_log")
		}
		if d := in.Design; d != nil && d.Sweep != nil {
			s.add("design.sweep", "needs a site's wind: put the design into a request document and estimate that")
		}
	})
}

// withinTurbine takes the turbine's own place off the places of its faults.
func withinTurbine(in []FieldError) []FieldError {
	const own = "turbine"
	out := make([]FieldError, len(in))
	for i, f := range in {
		if len(f.Location) > len(own) && f.Location[:len(own)+1] == own+"." {
			f.Location = f.Location[len(own)+1:]
		} else if f.Location == own {
			f.Location = ""
		}
		out[i] = f
	}
	return out
}

// ToTurbine is a turbine by itself in the domain's terms; refs name the log it may need.
func ToTurbine(in openapi.TurbineInput) (assess.Turbine, Refs) {
	var refs Refs
	return toTurbine(&in, &refs), refs
}

// FromTurbine is a turbine on the wire, with every default filled in.
func FromTurbine(t *assess.Turbine, refs Refs) openapi.TurbineInput {
	var n numbers
	return echoTurbine(t, &refs, &n)
}

// DecodeBalance reads blades to be put in order.
func DecodeBalance(data []byte, s Syntax) (openapi.BalanceInput, error) {
	return decodePart(data, s, balancePlan, func(s *shape, in *openapi.BalanceInput) {
		blades := func(at string, v []float64, most float64, unit string) {
			if n := len(v); n < balance.MinBlades || n > balance.MaxBlades {
				s.add(at, "must have from %d to %d blades, not %d", balance.MinBlades, balance.MaxBlades, n)
			}
			for i := range v {
				s.bounds("", []bound{{at + indexed(i), &v[i], 0, most, unit, true}})
			}
		}
		blades("masses_g", in.MassesG, 1e6, "g")
		if in.CentresM != nil {
			blades("centres_m", in.CentresM, 30, "m")
			if len(in.CentresM) != len(in.MassesG) {
				s.add("centres_m", "must have one for each of the %d masses, not %d", len(in.MassesG), len(in.CentresM))
			}
		}
		s.bounds("", []bound{{"rpm", in.RPM, 1, 1e5, "rpm", false}, {"tip_radius_m", in.TipRadiusM, 0.05, 30, "m", false}})
	})
}

const defaultRPM = 300

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
		return openapi.Balance{}, &Error{Fields: []FieldError{{Location: "masses_g", Detail: fmt.Sprint(err)}}}
	}
	return fromBalance(&r, value(in.RPM, defaultRPM), value(in.TipRadiusM, nan)), nil
}

func fromBalance(r *balance.Result, rpm, tipM float64) openapi.Balance {
	var n numbers
	out := openapi.Balance{
		ImbalanceGm: n.figure(r.ImbalanceGM), DirectionDeg: n.figure(r.DirectionDeg), AsGivenGm: n.figure(r.AsGivenGM), CentreKnown: r.CentreKnown,
		MeanG: n.figure(r.MeanG), SpreadG: n.figure(r.SpreadG), RPM: rpm, Lighten: make([]openapi.BladeTrim, len(r.Lighten)),
		Counter:  openapi.Counterweight{MomentGm: n.figure(r.Counter.GM), AngleDeg: n.figure(r.Counter.AngleDeg), MassG: n.figure(r.Counter.MassAt(tipM))},
		Warnings: fromWarnings(r.Warnings, 0), Order: make([]int, len(r.Order)),
	}
	for i, b := range r.Order {
		out.Order[i] = b + 1
	}
	if r.CentreKnown {
		out.ForceN, out.ForceAsGivenN = n.figure(r.Force(rpm)), n.figure(r.ForceAsGiven(rpm))
	}
	for i, t := range r.Lighten {
		out.Lighten[i] = openapi.BladeTrim{Blade: t.Blade + 1, MomentGm: n.figure(t.GM), MassG: n.figure(t.MassAt(tipM)), RadiusM: n.or(tipM)}
		if tipM != tipM && !r.CentreKnown {
			out.Lighten[i].MassG = n.figure(t.GM) // at its own centre of gravity
		}
	}
	return out
}
