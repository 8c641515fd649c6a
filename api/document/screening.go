package document

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"mastworth/openapi"
	"mastworth/resource"
)

func fromFindings(found []resource.Finding) []openapi.Finding {
	out := make([]openapi.Finding, len(found))
	for i, f := range found {
		out[i] = openapi.Finding{Rule: f.Rule, Channel: f.Channel, Action: openapi.FindingAction(f.Action), From: Time(f.FromUnix), To: Time(f.ToUnix),
			Count: int64(f.Count), Detail: f.Detail}
	}
	return out
}

// FromScreening is what screening by some rules found, with the rules there are.
func FromScreening(o resource.ScreenOptions, found []resource.Finding) openapi.Screening {
	out := openapi.Screening{Method: Methods, Findings: fromFindings(found)}
	for _, r := range resource.Rules() {
		rule := openapi.ScreeningRule{Name: r.Name, Doc: r.Doc, Used: !slices.Contains(o.Off, r.Name), Limits: []openapi.ScreeningLimit{}}
		for _, l := range r.Limits {
			value, set := o.Limits[l.Name]
			if !set {
				value = l.Value
			}
			rule.Limits = append(rule.Limits, openapi.ScreeningLimit{Name: l.Name, Value: value, Default: l.Value, Unit: l.Unit, Doc: l.Doc})
		}
		out.Rules = append(out.Rules, rule)
	}
	return out
}

// ScreenOptions takes rules to leave out and limits, as NAME=NUMBER, from a query or flags, and checks them.
func ScreenOptions(leaveOut, limits []string) (resource.ScreenOptions, error) {
	o := resource.ScreenOptions{Off: leaveOut}
	for _, l := range limits {
		name, text, ok := strings.Cut(l, "=")
		v, err := strconv.ParseFloat(text, 64)
		if !ok || err != nil || v-v != 0 {
			return o, fmt.Errorf("a limit is NAME=NUMBER, not %s", quoted(l))
		}
		if o.Limits == nil {
			o.Limits = map[string]float64{}
		}
		if _, twice := o.Limits[name]; twice {
			return o, fmt.Errorf("the limit %s is set twice; keep one", quoted(name))
		}
		o.Limits[name] = v
	}
	return o, o.Validate()
}
