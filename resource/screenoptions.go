package resource

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Limit is a number that steers a rule and can be tuned.
type Limit struct {
	Name     string  // stable: the rule's name, a dot, and what it limits with its unit, such as "spike.speed_m_s"
	Value    float64 // as usual
	Unit     string  // "" for a bare number
	Min, Max float64 // what it can be set to, both included
	Doc      string  // what it means, in a sentence
}

// ScreenOptions switches rules of screening off and tunes the others. The zero value changes nothing.
type ScreenOptions struct {
	Off    []string           // names of rules that are not to run
	Limits map[string]float64 // values by the name of a Limit, each in its unit
}

// ErrScreenOptions is what every error of ScreenOptions.Validate wraps.
var ErrScreenOptions = errors.New("screening options")

// Validate returns nil, or an error that wraps ErrScreenOptions and names, one a line, every rule and limit that there is
// not, with those that there are, every value that is no number or outside what its limit can be set to, and every lower
// limit of range that is not below its upper one.
func (o ScreenOptions) Validate() error {
	_, err := o.plan()
	return err
}

// plan is what a run through the rules needs of the options.
type plan struct {
	off    []bool      // one a rule
	limits [][]float64 // one list a rule
}

var defaultPlan = func() plan {
	p, err := ScreenOptions{}.plan()
	if err != nil {
		panic("resource: the usual limits of screening contradict each other")
	}
	return p
}()

func (o ScreenOptions) plan() (plan, error) {
	p := plan{off: make([]bool, len(rules)), limits: make([][]float64, len(rules))}
	var wrong []error
	for _, name := range o.Off {
		r := slices.IndexFunc(rules[:], func(r Rule) bool { return r.Name == name })
		if r < 0 {
			wrong = append(wrong, fmt.Errorf("%w: there is no rule %q to switch off; there are %s", ErrScreenOptions, name, ruleNames()))
			continue
		}
		p.off[r] = true
	}
	for r := range rules {
		p.limits[r] = make([]float64, len(rules[r].Limits))
		for i, l := range rules[r].Limits {
			p.limits[r][i] = l.Value
		}
	}
	for _, name := range slices.Sorted(maps.Keys(o.Limits)) {
		if err := p.set(name, o.Limits[name]); err != nil {
			wrong = append(wrong, err)
		}
	}
	for i := 0; i+1 < len(rangeLimits); i += 2 {
		if low, high := p.limits[0][i], p.limits[0][i+1]; low >= high {
			wrong = append(wrong, fmt.Errorf("%w: %s is %g and %s is %g: the lower must be below the upper", ErrScreenOptions,
				rangeLimits[i].Name, low, rangeLimits[i+1].Name, high))
		}
	}
	return p, errors.Join(wrong...)
}

// set tunes one limit.
func (p *plan) set(name string, value float64) error {
	rule, _, _ := strings.Cut(name, ".")
	for r := range rules {
		if rules[r].Name != rule {
			continue
		}
		for i, l := range rules[r].Limits {
			if l.Name != name {
				continue
			}
			if !(value >= l.Min && value <= l.Max) {
				return fmt.Errorf("%w: limit %s cannot be %g; it can be %g to %g%s", ErrScreenOptions, name, value, l.Min, l.Max, spaced(l.Unit))
			}
			p.limits[r][i] = value
			return nil
		}
		return fmt.Errorf("%w: rule %s has no limit %q; it has %s", ErrScreenOptions, rule, name, limitNames(rules[r].Limits))
	}
	return fmt.Errorf("%w: there is no limit %q; its name begins with that of a rule and a dot, and there are %s", ErrScreenOptions, name, ruleNames())
}

func ruleNames() string {
	var names []string
	for i := range rules {
		names = append(names, rules[i].Name)
	}
	return strings.Join(names, ", ")
}

func limitNames(limits []Limit) string {
	if len(limits) == 0 {
		return "none"
	}
	var names []string
	for _, l := range limits {
		names = append(names, l.Name)
	}
	return strings.Join(names, ", ")
}

// spaced puts a space before a unit that wants one.
func spaced(unit string) string {
	if unit == "" || unit == "°" {
		return unit
	}
	return " " + unit
}
