package decide_test

import (
	"errors"
	"math"
	"testing"

	"mastworth/yield/decide"
)

// near checks a number within tol absolutely.
func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g within %g", name, got, want, tol)
	}
}

func measure(t testing.TB, p decide.Prospect, c ...decide.Campaign) decide.Measured {
	t.Helper()
	m, err := decide.Measure(p, c)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// blames checks that an error is a Fault of a field.
func blames(t testing.TB, err error, field string) {
	t.Helper()
	var f *decide.Fault
	if !errors.As(err, &f) {
		t.Errorf("%s: got %v, want a fault", field, err)
	} else if f.Field != field || f.Error() != "decision, "+field+": "+f.Reason {
		t.Errorf("got %v, want a fault of %s", f, field)
	}
}

// straight is a Value that is offset + slope·z, z the standard score of the factor's logarithm under sd.
func straight(offset, slope, sd float64) func(float64) float64 {
	return func(factor float64) float64 { return offset + slope*(math.Log(factor)/sd+sd/2) }
}
