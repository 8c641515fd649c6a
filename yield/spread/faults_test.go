package spread

import (
	"errors"
	"math"
	"testing"
)

// What cannot be is named by its field, with a reason.
func TestFaults(t *testing.T) {
	good := Source{Name: "wind", Kind: WindSpeed, Standard: 0.1}
	for field, change := range map[string]func(m *Model, s *[]Source, o *Options){
		"draws":                func(_ *Model, _ *[]Source, o *Options) { o.Draws = 0 },
		"draws ":               func(_ *Model, _ *[]Source, o *Options) { o.Draws = MaxDraws + 1 },
		"draws  ":              func(m *Model, _ *[]Source, o *Options) { m.Heights = make9(m.Heights[0]); o.Draws = MaxDraws },
		"life_years":           func(m *Model, _ *[]Source, _ *Options) { m.LifeYears = 0 },
		"solar.life_years":     func(m *Model, _ *[]Source, _ *Options) { m.Solar.LifeYears = -1 },
		"rate":                 func(m *Model, _ *[]Source, _ *Options) { m.Rate = math.NaN() },
		"decline":              func(m *Model, _ *[]Source, _ *Options) { m.Decline = 1 },
		"price":                func(m *Model, _ *[]Source, _ *Options) { m.Price = -1 },
		"solar":                func(m *Model, _ *[]Source, _ *Options) { m.Solar.PerKWh = -1 },
		"heights":              func(m *Model, _ *[]Source, _ *Options) { m.Heights = nil },
		"heights[0].energy":    func(m *Model, _ *[]Source, _ *Options) { m.Heights[0].Energy = nil },
		"heights[0].net_share": func(m *Model, _ *[]Source, _ *Options) { m.Heights[0].NetShare = 0 },
		"heights[0].rated_kw":  func(m *Model, _ *[]Source, _ *Options) { m.Heights[0].RatedKW = 0 },
		"heights[0].costs":     func(m *Model, _ *[]Source, _ *Options) { m.Heights[0].UpkeepPerYear = math.Inf(1) },
		"sources":              func(_ *Model, s *[]Source, _ *Options) { *s = make([]Source, MaxSources+1) },
		"name":                 func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Name = "" },
		"name ":                func(_ *Model, s *[]Source, _ *Options) { *s = append(*s, (*s)[0]) },
		"kind":                 func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Kind = "luck" },
		"distribution":         func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Distribution = "bent" },
		"standard":             func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Standard = 1.2 },
		"standard ":            func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Standard = -0.1 },
		"standard  ":           func(_ *Model, s *[]Source, _ *Options) { (*s)[0].Standard = math.NaN() },
		"per_height":           func(_ *Model, s *[]Source, _ *Options) { (*s)[0].PerHeight = []float64{0.1, 0.1} },
		"per_height ":          func(_ *Model, s *[]Source, _ *Options) { (*s)[0].PerHeight = []float64{2} },
		"per_height  ":         func(_ *Model, s *[]Source, _ *Options) { (*s)[0].PerHeight, (*s)[0].Kind = []float64{0.1}, Price },
		"every_year":           func(_ *Model, s *[]Source, _ *Options) { (*s)[0].EveryYear, (*s)[0].Kind = true, Price },
		"truncate_at":          func(_ *Model, s *[]Source, _ *Options) { (*s)[0].TruncateAt = 0.5 },
		"truncate_at ":         func(_ *Model, s *[]Source, _ *Options) { (*s)[0].TruncateAt, (*s)[0].Distribution = 2, Triangular },
	} {
		m, sources, o := straight(t, 2), []Source{good}, Options{Draws: 100}
		change(&m, &sources, &o)
		var f *Fault
		if _, err := Draw(m, sources, o); !errors.As(err, &f) || f.Field != trim(field) || f.Reason == "" {
			t.Errorf("%q: got %v", field, err)
		}
	}
	if got := (&Fault{"hedge", "standard", "is odd"}).Error(); got != "uncertainty of hedge, standard: is odd" {
		t.Error(got)
	}
}

func trim(field string) string {
	for len(field) > 0 && field[len(field)-1] == ' ' {
		field = field[:len(field)-1]
	}
	return field
}

func make9(h HeightModel) []HeightModel { return []HeightModel{h, h, h, h, h, h, h, h, h} }
