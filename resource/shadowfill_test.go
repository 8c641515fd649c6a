package resource

import (
	"math"
	"reflect"
	"testing"
)

// What stands in the mast's shadow comes from the sensor on the other side of it, and nothing else does.
func TestFillShadow(t *testing.T) {
	s := &Series{
		Times: []int64{0, 600, 1200, 1800}, StepS: 600,
		Channels: []Channel{
			{Name: "east", Quantity: Speed, HeightM: 20, Values: []float64{5, 3, 4, math.NaN()}, Flags: []Flag{0, FlagShadow, FlagShadow | FlagIcing, 0}},
			{Name: "west", Quantity: Speed, HeightM: 19, Values: []float64{5.1, 6, 7, 8}},
			{Name: "low", Quantity: Speed, HeightM: 10, Values: []float64{4, 4, 4, 4}},
		},
	}
	out, filled := FillShadow(s)
	if want := []Filled{{Channel: 0, From: 1, N: 1}}; !reflect.DeepEqual(filled, want) {
		t.Errorf("filled %v, want %v", filled, want)
	}
	if c := &out.Channels[0]; math.Abs(c.Values[1]-6*5/5.1) > 1e-12 || !c.Usable(1) || c.Usable(2) || c.Values[0] != 5 {
		t.Errorf("%+v", c)
	}
	if c := &s.Channels[0]; c.Values[1] != 3 || c.Usable(1) {
		t.Error("the record was changed")
	}
	if same, none := FillShadow(out); same == nil || len(none) != 0 || same != out {
		t.Error("there was nothing left to fill")
	}
}
