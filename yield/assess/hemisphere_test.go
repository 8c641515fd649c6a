package assess

import "testing"

// Mirrored across the equator a site has the same array, facing the other way, with the months half a year on. The wind
// knows no hemisphere.
func TestSouthernHemisphere(t *testing.T) {
	r := garden()
	r.Solar.AzimuthDeg = nan
	north := mustRun(t, r).Heights[0]
	r.Site.LatitudeDeg = -r.Site.LatitudeDeg
	south := mustRun(t, r).Heights[0]
	if north.Solar.AzimuthDeg != 180 || south.Solar.AzimuthDeg != 0 {
		t.Errorf("the arrays face %g and %g", north.Solar.AzimuthDeg, south.Solar.AzimuthDeg)
	}
	if north.Energy.GrossKWh != south.Energy.GrossKWh {
		t.Error("the wind changed hemispheres")
	}
	// The earth is nearest the sun in January, so a southern summer is sunnier by a few per cent.
	near(t, "solar yield", south.Solar.YieldKWhPerKW, north.Solar.YieldKWhPerKW, 0.05)
	for m, kWh := range north.Solar.MonthlyKWh {
		near(t, "month", south.Solar.MonthlyKWh[(m+6)%12], kWh, 0.15)
	}
}
