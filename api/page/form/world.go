package form

import "math"

// The drawn world: plate carrée, all of it, twice as wide as high. Widths are those the page shows it in, px.
const (
	WorldWide   = 720
	WorldNarrow = 320
)

// Pick types the place at a point of the drawn world, counted from its upper left corner, in steps as fine as the drawing tells apart. A
// press of a key instead of the pointer comes as the corner itself, and picks nothing.
func (f *Form) Pick(x, y, width int) bool {
	height := width / 2
	if x <= 0 && y <= 0 || x < 0 || y < 0 || x > width || y > height {
		return false
	}
	perDeg := float64(width) / 360
	step := 0.5
	if perDeg < 1/step {
		step = 1
	}
	snap := func(deg float64) string { return plain(math.Round(deg/step)*step + 0) }
	f.typed["site.longitude"] = snap(float64(x)/perDeg - 180)
	f.typed["site.latitude"] = snap(90 - float64(y)/perDeg)
	return true
}

// Spot is where the place is on a drawn world 720 wide; false where none is typed that could be.
func (f *Form) Spot() (x, y float64, ok bool) {
	latitude, isLatitude := number(f.typed["site.latitude"])
	longitude, isLongitude := number(f.typed["site.longitude"])
	if !isLatitude || !isLongitude || math.Abs(latitude) > 90 || math.Abs(longitude) > 180 {
		return 0, 0, false
	}
	const perDeg = WorldWide / 360
	return math.Round((longitude+180)*perDeg*10) / 10, math.Round((90-latitude)*perDeg*10) / 10, true
}
