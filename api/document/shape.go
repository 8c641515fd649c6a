package document

import (
	"fmt"
	"strings"
	"unicode"

	"mastworth/openapi"
)

// Limits the domain does not have, because a request of its own types cannot break them or does not care.
const (
	maxSeed         = 1<<53 - 1 // the largest whole number every JSON reader keeps
	maxPoints       = 500
	maxReplacements = 60
	maxCurrency     = 8
)

// shape gathers the faults that neither the types nor the domain can see.
type shape []FieldError

func (s *shape) add(location, format string, args ...any) {
	if len(*s) <= MaxFaults {
		*s = append(*s, FieldError{Location: location, Detail: fmt.Sprintf(format, args...)})
	}
}

// checkShape looks at what is given and left out, at lengths and patterns. It costs next to nothing on a sound request.
func checkShape(r *openapi.EstimateRequest) []FieldError {
	var s shape
	s.site(&r.Site)
	s.wind(&r.Wind)
	s.turbine("turbine", &r.Turbine)
	s.money(&r.Money)
	s.household(r.Household)
	if sol := r.Solar; sol != nil {
		s.life("solar.life_years", sol.LifeYears)
		s.climatology(sol)
	}
	if u := r.Uncertainty; u != nil && u.Draws != nil && *u.Draws < 0 {
		s.add("uncertainty.draws", "must be from 100 on, or 0 for no odds, not %d", *u.Draws)
	}
	if r.Seed != nil && (*r.Seed < 0 || *r.Seed > maxSeed) {
		s.add("seed", "must be from 0 to %d", int64(maxSeed))
	}
	return s
}

func (s *shape) climatology(sol *openapi.SolarInput) {
	if sol.ClimatologyFile == nil {
		return
	}
	s.length("solar.climatology_file", *sol.ClimatologyFile, 1, maxFileName)
	if sol.MonthlyIrradiationKWhM2 != nil || sol.YearlyIrradiationKWhM2 != nil || sol.YieldKWhPerKW != nil {
		s.add("solar", "climatology_file goes without monthly_irradiation_kwh_m2, yearly_irradiation_kwh_m2 and yield_kwh_per_kw: give one of them")
	}
}

// Limits on what stands around a mast, as the contract has them.
const (
	maxObstacles = 400
	maxSectors   = 36
	maxReliefs   = 20
)

func (s *shape) site(in *openapi.SiteInput) {
	s.name("site.name", in.Name)
	s.ground("site.ground", in.Ground)
	if o := in.Obstacles; o != nil {
		s.atMost("site.obstacles", len(*o), maxObstacles)
		for i := range *o {
			s.name(fmt.Sprintf("site.obstacles[%d].name", i), (*o)[i].Name)
		}
	}
	s.atMost("site.relief", len(in.Relief), maxReliefs)
	if in.Map != nil {
		*s = append(*s, readMap(*in.Map, in).faults...)
	}
}

// name checks what people call things. Control characters have no business there, and some databases refuse them.
func (s *shape) name(at string, name *string) {
	if name == nil {
		return
	}
	s.length(at, *name, 0, 200)
	if strings.ContainsFunc(*name, unicode.IsControl) {
		s.add(at, "holds a control character, such as a tab or a line break; take it out")
	}
}

func (s *shape) atMost(at string, n, most int) {
	if n > most {
		s.add(at, "must have at most %d entries, not %d", most, n)
	}
}

func (s *shape) ground(at string, g *openapi.Ground) {
	if g == nil {
		return
	}
	s.oneGround(at, g.Cover, g.RoughnessM)
	s.atMost(at+".sectors", len(g.Sectors), maxSectors)
	for i, sec := range g.Sectors {
		at := fmt.Sprintf("%s.sectors[%d]", at, i)
		s.oneGround(at, sec.Cover, sec.RoughnessM)
		if b := sec.Beyond; b != nil {
			s.oneGround(at+".beyond", b.Cover, b.RoughnessM)
		}
	}
}

func (s *shape) oneGround(at string, cover *openapi.Cover, roughnessM *float64) {
	if cover != nil && roughnessM != nil {
		s.add(at, "give cover or roughness_m, not both")
	}
}

func (s *shape) wind(w *openapi.WindInput) {
	var given []string
	for _, g := range []struct {
		name string
		is   bool
	}{{"record", w.Record != nil}, {"mean", w.Mean != nil}, {"weibull", w.Weibull != nil}, {"frequency", w.Frequency != nil}} {
		if g.is {
			given = append(given, g.name)
		}
	}
	switch len(given) {
	case 1:
	case 0:
		s.add("wind", "give the wind by one of record, mean, weibull and frequency")
	default:
		s.add("wind", "give exactly one of record, mean, weibull and frequency, not %s; drop all but one", strings.Join(given, " and "))
	}
	s.ground("wind.measured_over", w.MeasuredOver)
	if w.Record != nil {
		s.record(atRecord, w.Record)
	}
	if w.LongTerm != nil {
		s.record(atReference, &w.LongTerm.Reference)
	}
}

// curve checks the pairs; their values are the domain's.
func (s *shape) curve(at string, points [][]float64) {
	if n := len(points); n < 2 || n > maxPoints {
		s.add(at, "must have from 2 to %d points, not %d", maxPoints, n)
	}
	for i, p := range points {
		if len(p) != 2 {
			s.add(fmt.Sprintf("%s[%d]", at, i), "must be a pair of wind speed (m/s) and power (W), not %d numbers", len(p))
		}
	}
}

func (s *shape) money(m *openapi.MoneyInput) {
	if c := m.Currency; c != nil && !isCurrency(*c) {
		s.add("money.currency", "must be from 1 to %d letters, such as EUR, not %s", maxCurrency, quoted(*c))
	}
	if n := len(m.Replacements); n > maxReplacements {
		s.add("money.replacements", "must have at most %d entries, not %d", maxReplacements, n)
	}
	s.life("money.life_years", m.LifeYears)
}

// life refuses the zero that the domain takes for "not given".
func (s *shape) life(at string, years *int) {
	if years != nil && *years < 1 {
		s.add(at, "must be from 1 to 60 years, not %d", *years)
	}
}

func isCurrency(c string) bool {
	for i := range len(c) {
		if l := c[i] | 0x20; l < 'a' || l > 'z' {
			return false
		}
	}
	return c != "" && len(c) <= maxCurrency
}
