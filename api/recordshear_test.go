package api

import (
	"math"
	"testing"

	"mastworth/resource"
)

// A sector without pairs has the exponent of all directions: it is no row. A record without directions has none.
func TestShearRowsHavePairs(t *testing.T) {
	s := &resource.Series{StepS: 3600, Channels: []resource.Channel{{Name: "low", Quantity: resource.Speed, HeightM: 10}, {Name: "high", Quantity: resource.Speed, HeightM: 40},
		{Name: "vane", Quantity: resource.Direction, HeightM: 40}}}
	for i := range 24 * 30 {
		v := 6 + math.Sin(float64(i))
		s.Times = append(s.Times, int64(i)*3600)
		for k, x := range []float64{v, v * 1.2, 90} {
			s.Channels[k].Values = append(s.Channels[k].Values, x)
		}
	}
	for rows := 1; rows >= 0; rows-- {
		if rows == 0 {
			s.Channels = s.Channels[:2]
		}
		table, err := resource.MeasuredShear(s, resource.SectorCount)
		if err != nil {
			t.Fatal(err)
		}
		if got := shearOf(&table).Rows; len(got) != rows || rows == 1 && (got[0].FromDeg != 90 || got[0].N != table.N) {
			t.Errorf("%d sectors with wind: %+v", rows, got)
		}
	}
}
