package shelter

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
)

// Properties is what a geometry says of itself beside its shape.
type Properties struct {
	Name           string
	HeightM        float64 // above the ground at the mast, above 0
	WidthM         float64 // of a point: the crown's width; of a line: how thick it is; NaN or 0: half the height
	Porosity       float64 // 0 to 1; NaN counts as 0
	GrowthMPerYear float64 // 0 or more; NaN counts as 0
}

// PieceDeg is the widest arc, seen from the mast, that one obstacle made from a line or an outline fills, degrees.
const PieceDeg = 10

// FromGeometry turns a shape (longitude, latitude in degrees, WGS84) into obstacles as seen from the mast. Distances and
// bearings are those of great circles on orb's sphere.
//
//   - A point is a tree: its nearest face is half its width before it.
//   - A line is a hedge, or a row of houses; an outline is a building or a wood. Either is cut into pieces that fill equal
//     arcs of PieceDeg at most, each as far away as its nearest spot, so that a long hedge close by is not one wide wall
//     at its middle's distance. What hides behind a nearer part of the same shape does not count again. A line seen end on
//     is as wide as it is thick.
//   - Holes of an outline are left out, for whoever stands outside sees the same wall; but where the mast stands in a hole,
//     the hole is a clearing and its edge is what is seen.
//   - Of collections every member is taken. All pieces have the name of the whole.
//
// It fails with a *Fault: "geometry" where the mast stands in the shape or at its foot, where an outline crosses itself
// or is not closed, where the shape is empty or is too far away; else a field of Properties as it is on the wire.
func FromGeometry(mast orb.Point, g orb.Geometry, p Properties) ([]Obstacle, error) {
	if math.IsNaN(p.GrowthMPerYear) {
		p.GrowthMPerYear = 0
	}
	if math.IsNaN(p.WidthM) || p.WidthM == 0 {
		p.WidthM = p.HeightM / 2
	}
	if err := first(body(p.HeightM, p.Porosity, p.GrowthMPerYear)); err != nil {
		return nil, err
	}
	if !(p.WidthM > 0 && p.WidthM <= WidestM) {
		return nil, fault("width_m", "must be above 0 and at most %d m, not %g", WidestM, p.WidthM)
	}
	if err := checkPositions("the mast", []orb.Point{mast}); err != nil {
		return nil, err
	}
	v := view{mast: mast, p: p}
	if err := v.geometry(g); err != nil {
		return nil, err
	}
	if len(v.seen) == 0 {
		return nil, fault("geometry", "the shape is empty: give it positions, or drop it")
	}
	return v.seen, nil
}

// view gathers what is seen.
type view struct {
	mast orb.Point
	p    Properties
	seen []Obstacle
}

func (v *view) geometry(g orb.Geometry) error {
	switch g := g.(type) {
	case nil:
		return nil
	case orb.Point:
		return v.tree(g)
	case orb.MultiPoint:
		return each(g, v.tree)
	case orb.LineString:
		return v.line(g)
	case orb.MultiLineString:
		return each(g, v.line)
	case orb.Ring:
		return v.polygon(orb.Polygon{g})
	case orb.Polygon:
		return v.polygon(g)
	case orb.MultiPolygon:
		return each(g, v.polygon)
	case orb.Collection:
		return each(g, v.geometry)
	case orb.Bound:
		return v.polygon(g.ToPolygon())
	}
	return fault("geometry", "shapes of type %s cannot be read: use points, lines or polygons", g.GeoJSONType())
}

func each[T any](parts []T, see func(T) error) error {
	for _, part := range parts {
		if err := see(part); err != nil {
			return err
		}
	}
	return nil
}

func (v *view) tree(at orb.Point) error {
	if err := checkPositions("the point", []orb.Point{at}); err != nil {
		return err
	}
	distance := geo.DistanceHaversine(v.mast, at) - v.p.WidthM/2
	if distance < ClosestM {
		return v.atFoot(distance)
	}
	return v.add(turn(geo.Bearing(v.mast, at)), distance, v.p.WidthM)
}

func (v *view) line(l orb.LineString) error {
	if err := checkPositions("the line", l); err != nil {
		return err
	}
	flat := distinct(flatten(v.mast, l))
	switch len(flat) {
	case 0:
		return nil
	case 1:
		return fault("geometry", "the line has one position only; give it two, or make it a point")
	}
	return v.outline(flat)
}

func (v *view) polygon(p orb.Polygon) error {
	if len(p) == 0 {
		return nil
	}
	if err := checkRing(ringName(0), p[0]); err != nil {
		return err
	}
	wall := distinct(flatten(v.mast, p[0]))
	if nearestOf(wall) < ClosestM || winding(wall) == 0 {
		return v.outline(wall)
	}
	for i, hole := range p[1:] {
		if err := checkRing(ringName(i+1), hole); err != nil {
			return err
		}
		edge := distinct(flatten(v.mast, hole))
		if nearestOf(edge) < ClosestM || winding(edge) != 0 {
			return v.outline(edge)
		}
	}
	return fault("geometry", "the mast, at %s, stands inside the shape; move the mast, leave a hole around it if it stands in a "+
		"clearing or a courtyard, or describe the shape as ground cover", place(v.mast))
}

// outline cuts what is seen of an outline into obstacles.
func (v *view) outline(flat []vector) error {
	if d := nearestOf(flat); d < ClosestM {
		return v.atFoot(d)
	}
	seen, lo, hi := sights(flat)
	whole := math.Min(hi-lo, 360)
	pieces := max(1, int(math.Ceil(whole/PieceDeg-1e-9)))
	arc := whole / float64(pieces)
	for i := range pieces {
		from := lo + arc*float64(i)
		to := from + arc
		distance := math.Inf(1)
		for k := range seen {
			for _, off := range [...]float64{-360, 0, 360} { // what winds round more than once
				if off == 0 || hi-lo > 360 {
					distance = math.Min(distance, seen[k].within(from+off, to+off))
				}
			}
		}
		width := 2 * distance * math.Tan(radians(arc/2))
		if closed := flat[0] == flat[len(flat)-1]; pieces == 1 && !closed {
			width = math.Max(width, v.p.WidthM) // a line seen end on
		}
		if err := v.add(turn((from+to)/2), distance, width); err != nil {
			return err
		}
	}
	return nil
}

func (v *view) add(bearing, distance, width float64) error {
	if distance > FarthestM {
		return fault("geometry", "the shape is %.3g km from the mast, further than the %d km that matter; leave it out, or, if it is not so "+
			"far, see that longitude comes before latitude", distance/1000, FarthestM/1000)
	}
	o := Obstacle{
		Name: v.p.Name, BearingDeg: bearing, DistanceM: distance, HeightM: v.p.HeightM, WidthM: width,
		Porosity: v.p.Porosity, GrowthMPerYear: v.p.GrowthMPerYear,
	}
	if err := o.Validate(); err != nil {
		return err
	}
	v.seen = append(v.seen, o)
	return nil
}

func (v *view) atFoot(distance float64) error {
	if distance < 0 {
		return fault("geometry", "the mast, at %s, stands under it, %.2g m inside; move the mast, or correct position or width",
			place(v.mast), -distance)
	}
	return fault("geometry", "it comes to %.2g m from the mast, at %s, so that it is at the mast's own foot; keep %g m away",
		distance, place(v.mast), ClosestM)
}

// distinct leaves out positions that repeat the one before.
func distinct(flat []vector) []vector {
	kept := flat[:0]
	for i, p := range flat {
		if i == 0 || p != kept[len(kept)-1] {
			kept = append(kept, p)
		}
	}
	return kept
}

func nearestOf(flat []vector) float64 {
	d := math.Inf(1)
	for i := 1; i < len(flat); i++ {
		d = math.Min(d, nearest(flat[i-1], flat[i]))
	}
	return d
}
