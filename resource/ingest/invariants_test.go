package ingest

import (
	"math"
	"testing"

	"mastworth/resource"
)

// checkSeries holds a series to what every reader promises.
func checkSeries(t *testing.T, s *resource.Series) {
	t.Helper()
	if s.Len() == 0 || s.StepS <= 0 || len(s.Channels) == 0 || s.SourceFormat == "" {
		t.Fatalf("%d stamps, step %d s, %d channels, format %q", s.Len(), s.StepS, len(s.Channels), s.SourceFormat)
	}
	for i := 1; i < s.Len(); i++ {
		if s.Times[i] <= s.Times[i-1] {
			t.Fatalf("stamp %d, %d, is not after %d", i, s.Times[i], s.Times[i-1])
		}
	}
	for i := range s.Channels {
		c := &s.Channels[i]
		if len(c.Values) != s.Len() {
			t.Fatalf("channel %q has %d values for %d stamps", c.Name, len(c.Values), s.Len())
		}
		if unitOf(c.Quantity) == noUnit {
			t.Fatalf("channel %q has no quantity", c.Name)
		}
		if !math.IsNaN(c.HeightM) && !goodHeight(c.HeightM) {
			t.Fatalf("channel %q is at %g m", c.Name, c.HeightM)
		}
		for j, v := range c.Values {
			if math.IsInf(v, 0) {
				t.Fatalf("channel %q holds %g at %d", c.Name, v, j)
			}
		}
	}
}

func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.10g, want %.10g within %g", name, got, want, tol)
	}
}

// speedOf is the first speed channel.
func speedOf(t *testing.T, s *resource.Series) *resource.Channel {
	t.Helper()
	for i := range s.Channels {
		if s.Channels[i].Quantity == resource.Speed {
			return &s.Channels[i]
		}
	}
	t.Fatal("no speed channel")
	return nil
}

type summary struct {
	n, missing, zero int
	mean, max        float64
}

func summarise(values []float64) summary {
	var s summary
	for _, v := range values {
		if math.IsNaN(v) {
			s.missing++
			continue
		}
		s.n++
		if v == 0 {
			s.zero++
		}
		s.mean += v
		s.max = max(s.max, v)
	}
	s.mean /= float64(s.n)
	return s
}
