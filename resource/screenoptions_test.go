package resource

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func TestRules(t *testing.T) {
	flags, names := Flag(0), map[string]bool{}
	for _, r := range Rules() {
		if r.Name == "" || r.Doc == "" || flags&r.Flag != 0 || names[r.Name] {
			t.Errorf("rule %q needs a name of its own, a sentence, and a flag of its own or none", r.Name)
		}
		flags |= r.Flag
		names[r.Name] = true
		for _, l := range r.Limits {
			if !strings.HasPrefix(l.Name, r.Name+".") || names[l.Name] || l.Doc == "" || !(l.Min <= l.Value && l.Value <= l.Max) || l.Min >= l.Max {
				t.Errorf("limit %+v", l)
			}
			names[l.Name] = true
		}
	}
	if len(rangeLimits) != 2*int(DiffuseHorizontal) {
		t.Errorf("%d range limits", len(rangeLimits))
	}
	for q := Speed; q <= DiffuseHorizontal; q++ {
		for k, end := range []string{"_min", "_max"} {
			if l := rangeLimits[2*(int(q)-1)+k]; !strings.HasPrefix(l.Name, "range."+q.String()+end) {
				t.Errorf("%s has %s in its place", q, l.Name)
			}
		}
	}
	Rules()[0].Limits[0].Value = 99 // a copy
	if Rules()[0].Limits[0].Value == 99 {
		t.Error("the rules can be changed from outside")
	}
}

func TestScreenOptionsValidate(t *testing.T) {
	for name, c := range map[string]struct {
		o    ScreenOptions
		says []string
	}{
		"rule":     {ScreenOptions{Off: []string{"icing", "rime"}}, []string{`no rule "rime"`, "range, spike, flat_line, icing"}},
		"limit":    {ScreenOptions{Limits: map[string]float64{"icing.below": 3}}, []string{`icing has no limit "icing.below"`, "icing.below_c, icing.still_m_s"}},
		"no rule":  {ScreenOptions{Limits: map[string]float64{"rime.below_c": 3}}, []string{`no limit "rime.below_c"`, "range, spike"}},
		"value":    {ScreenOptions{Limits: map[string]float64{"spike.speed_m_s": -1}}, []string{"spike.speed_m_s cannot be -1; it can be 2 to 100 m/s"}},
		"NaN":      {ScreenOptions{Limits: map[string]float64{"spike.speed_m_s": math.NaN()}}, []string{"cannot be NaN"}},
		"infinite": {ScreenOptions{Limits: map[string]float64{"range.speed_max_m_s": math.Inf(1)}}, []string{"cannot be +Inf"}},
		"crossed": {ScreenOptions{Limits: map[string]float64{"range.temperature_min_c": 40, "range.temperature_max_c": 30}},
			[]string{"range.temperature_min_c is 40 and range.temperature_max_c is 30"}},
		"several": {ScreenOptions{Off: []string{""}, Limits: map[string]float64{"x": 1, "": 2}}, []string{`no rule ""`, `no limit "x"`, `no limit ""`}},
	} {
		err := c.o.Validate()
		if !errors.Is(err, ErrScreenOptions) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, want := range c.says {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q does not say %q", name, err, want)
			}
		}
		s := hourly(speedAt(10, []float64{-1, 2, 3}))
		if found, err := ScreenWith(s, c.o); err == nil || found != nil || s.Channels[0].Flags != nil {
			t.Errorf("%s: screened all the same", name)
		}
	}
	all := ScreenOptions{Limits: map[string]float64{}}
	for _, r := range Rules() {
		all.Off = append(all.Off, r.Name)
		for _, l := range r.Limits {
			all.Limits[l.Name] = l.Value
		}
	}
	if err := all.Validate(); err != nil {
		t.Error(err)
	}
}

// TestScreenWith: a rule that is off takes its flags of an earlier screening with it, and a tuned one goes by its limit.
func TestScreenWith(t *testing.T) {
	s := hourly(speedAt(10, []float64{3, 80, 5, 20, 6, 7}))
	s.Channels[0].Flags = []Flag{FlagSource, 0, 0, 0, 0, 0}
	if found := Screen(s); len(found) != 1 || s.Channels[0].Flags[1] != FlagRange {
		t.Fatalf("%+v", found)
	}
	found, err := ScreenWith(s, ScreenOptions{Limits: map[string]float64{"range.speed_max_m_s": 15}})
	if err != nil || len(found) != 2 || found[1].Detail != "20 m/s is outside 0 to 15 m/s" || found[1].Action != ActionFlagged {
		t.Errorf("%+v, %v", found, err)
	}
	found, err = ScreenWith(s, ScreenOptions{Off: []string{"range", "spike"}})
	if err != nil || len(found) != 0 || s.Channels[0].Flags[1] != 0 || s.Channels[0].Flags[0] != FlagSource {
		t.Errorf("%+v, %v, flags %v", found, err, s.Channels[0].Flags)
	}
}
