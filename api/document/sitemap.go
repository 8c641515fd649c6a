package document

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geojson"

	"mastworth/openapi"
	"mastworth/resource/shelter"
	"mastworth/resource/terrain"
	"mastworth/yield/assess"
)

const (
	atMap       = "site.map"
	maxFeatures = 200
)

// mapped is what a map says, as seen from the mast.
type mapped struct {
	obstacles []shelter.Obstacle
	sectors   []assess.GroundSector
	faults    []FieldError
}

// mapReader reads the features of one map.
type mapReader struct {
	mast  orb.Point
	out   mapped
	cover []shelter.CoverPolygon
	// grounds are those of the cover polygons, in their order.
	grounds   []assess.Ground
	featureOf []int // the feature of each ground
}

// readMap measures a map from the mast and reports what is wrong with it.
func readMap(text openapi.SiteMap, site *openapi.SiteInput) mapped {
	r := mapReader{mast: orb.Point{site.Longitude, site.Latitude}}
	features := r.features(text)
	if len(r.out.faults) > 0 || !onEarth(r.mast) { // a mast that is nowhere is told of elsewhere
		return r.out
	}
	for i, f := range features {
		r.feature(i, f)
	}
	if n := len(r.out.obstacles); n > maxObstacles {
		r.fault("", "its shapes are %d obstacles, seen from the mast, and at most %d are taken: leave out what is further off than twenty of its "+
			"heights, and simplify outlines", n, maxObstacles)
	}
	r.ground(site.Ground)
	return r.out
}

// features opens the collection.
func (r *mapReader) features(text openapi.SiteMap) []json.RawMessage {
	var collection struct {
		Type     any             `json:"type"`
		Features json.RawMessage `json:"features"`
	}
	if err := json.Unmarshal(text, &collection); err != nil {
		r.fault("", "is no GeoJSON feature collection: %s", err)
		return nil
	}
	if collection.Type != "FeatureCollection" {
		r.fault(".type", "must be FeatureCollection")
	}
	var features []json.RawMessage
	err := json.Unmarshal(collection.Features, &features)
	switch {
	case err != nil || features == nil:
		r.fault(".features", "must be the list of what stands on the map")
	case len(features) > maxFeatures:
		r.fault(".features", "must have at most %d entries, not %d", maxFeatures, len(features))
	}
	return features
}

func (r *mapReader) fault(at, format string, args ...any) {
	if len(r.out.faults) <= MaxFaults {
		r.out.faults = append(r.out.faults, FieldError{Location: atMap + at, Detail: fmt.Sprintf(format, args...)})
	}
}

// feature is an obstacle or a piece of ground.
func (r *mapReader) feature(i int, text json.RawMessage) {
	at := fmt.Sprintf(".features[%d]", i)
	f, err := geojson.UnmarshalFeature(text)
	if err != nil || string(text) == "null" {
		r.fault(at, "is no GeoJSON feature; it is an object with type, geometry and properties")
		return
	}
	if f.Geometry == nil {
		r.fault(at+".geometry", "is missing; a feature needs a point, a line or a polygon")
		return
	}
	if !onEarth(f.Geometry) {
		r.fault(at+".geometry", "has coordinates that are no longitude (from -180 to 180) and latitude (from -90 to 90), in this order")
		return
	}
	before := len(r.out.faults)
	p := properties{r: r, at: at + ".properties", of: f.Properties}
	p.known()
	_, tall := f.Properties["height_m"]
	_, covered := f.Properties["cover"]
	_, rough := f.Properties["roughness_m"]
	switch {
	case tall && (covered || rough):
		r.fault(p.at, "is an obstacle by height_m and ground by cover or roughness_m; make two features of it")
	case tall:
		p.obstacle(f.Geometry)
	case covered || rough:
		p.piece(i, f.Geometry)
	case len(r.out.faults) == before:
		r.fault(p.at, "must have height_m, for an obstacle, or cover or roughness_m, for ground")
	}
}

func onEarth(g orb.Geometry) bool {
	b := g.Bound()
	for _, v := range []float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]} {
		if v-v != 0 {
			return false
		}
	}
	return b.Min[0] >= -180 && b.Max[0] <= 180 && b.Min[1] >= -90 && b.Max[1] <= 90
}

// properties are those of one feature.
type properties struct {
	r  *mapReader
	at string
	of geojson.Properties
}

var knownProperties = []string{"name", "height_m", "width_m", "porosity", "growth_m_per_year", "cover", "roughness_m", "displacement_m"}

// known refuses a name that is nearly one of those that count; others are the map's own affair.
func (p *properties) known() {
	for name := range p.of {
		if slices.Contains(knownProperties, name) {
			continue
		}
		if near := nearest(name, knownProperties); near != "" {
			p.r.fault(p.at+"."+name, "is not a known property; did you mean %s?", near)
		}
	}
}

// number is a property that is a number, or NaN where it is absent.
func (p *properties) number(name string) float64 {
	v, ok := p.of[name]
	if !ok || v == nil {
		return math.NaN()
	}
	f, ok := v.(float64)
	if !ok {
		p.r.fault(p.at+"."+name, "must be a number")
		return math.NaN()
	}
	return f
}

func (p *properties) text(name string) string {
	v, ok := p.of[name]
	if !ok || v == nil {
		return ""
	}
	s, ok := v.(string)
	if !ok || len(s) > 200 || strings.ContainsFunc(s, unicode.IsControl) {
		p.r.fault(p.at+"."+name, "must be text of at most 200 characters, without control characters")
		return ""
	}
	return s
}

func (p *properties) obstacle(g orb.Geometry) {
	before := len(p.r.out.faults)
	of := shelter.Properties{Name: p.text("name"), HeightM: p.number("height_m"), WidthM: p.number("width_m"),
		Porosity: p.number("porosity"), GrowthMPerYear: p.number("growth_m_per_year")}
	if len(p.r.out.faults) > before {
		return
	}
	found, err := shelter.FromGeometry(p.r.mast, g, of)
	var fault *shelter.Fault
	switch {
	case errors.As(err, &fault) && fault.Field != "" && fault.Field != "geometry":
		p.r.fault(p.at+"."+fault.Field, "%s", fault.Reason)
	case errors.As(err, &fault):
		p.r.fault(p.at[:len(p.at)-len(".properties")]+".geometry", "%s", fault.Reason)
	case err != nil:
		p.r.fault(p.at[:len(p.at)-len(".properties")]+".geometry", "%s", err)
	}
	p.r.out.obstacles = append(p.r.out.obstacles, found...)
}

// piece is a polygon of ground.
func (p *properties) piece(i int, g orb.Geometry) {
	before := len(p.r.out.faults)
	ground := assess.Ground{Cover: p.text("cover"), RoughnessM: p.number("roughness_m"), DisplacementM: p.number("displacement_m")}
	var polygons []orb.Polygon
	switch g := g.(type) {
	case orb.Polygon:
		polygons = []orb.Polygon{g}
	case orb.MultiPolygon:
		polygons = g
	default:
		p.r.fault(p.at[:len(p.at)-len(".properties")]+".geometry", "ground is a polygon, not a %s", g.GeoJSONType())
	}
	switch words := enumerations[coverType]; {
	case ground.Cover != "" && ground.RoughnessM == ground.RoughnessM:
		p.r.fault(p.at, "give cover or roughness_m, not both")
	case ground.Cover != "" && !contains(words, ground.Cover):
		p.r.fault(p.at+".cover", "must be %s, not %s", oneOf(words), quoted(ground.Cover))
	case ground.RoughnessM < 1e-5 || ground.RoughnessM > 5:
		p.r.fault(p.at+".roughness_m", "must be from 0.00001 to 5 m, not %g", ground.RoughnessM)
	case ground.DisplacementM < 0 || ground.DisplacementM > 60:
		p.r.fault(p.at+".displacement_m", "must be from 0 to 60 m, not %g", ground.DisplacementM)
	}
	if len(p.r.out.faults) > before {
		return
	}
	for _, polygon := range polygons {
		if err := shelter.CheckPolygon(polygon); err != nil {
			p.r.fault(fmt.Sprintf(".features[%d].geometry", i), "%s", err)
			return
		}
		p.r.cover = append(p.r.cover, shelter.CoverPolygon{Polygon: polygon, Index: len(p.r.grounds)})
	}
	p.r.featureOf = append(p.r.featureOf, i)
	p.r.grounds = append(p.r.grounds, ground)
}

// ground turns the pieces into sectors, one for every ten degrees that sees any of them; equal neighbours are taken together.
func (r *mapReader) ground(everywhere *openapi.Ground) {
	if len(r.cover) == 0 || len(r.out.faults) > 0 {
		return
	}
	if everywhere != nil && len(everywhere.Sectors) > 0 {
		r.fault("", "has ground and so has site.ground.sectors; keep one of the two")
		return
	}
	general := assess.Ground{Cover: assess.DefaultCover, RoughnessM: nan, DisplacementM: nan}
	if everywhere != nil && (everywhere.Cover != nil || everywhere.RoughnessM != nil) {
		general = plainGround(everywhere.Cover, everywhere.RoughnessM, everywhere.DisplacementM)
	}
	groundOf := func(index int) assess.Ground {
		if index < 0 {
			return general
		}
		return r.grounds[index]
	}
	seen := shelter.CoverSectors(r.mast, r.cover)
	r.unseen(&seen)
	const width = 360.0 / terrain.DirectionCount
	for d, s := range seen {
		if s.At < 0 && (s.Then < 0 || s.ChangeAtM != s.ChangeAtM) {
			continue
		}
		from, to := math.Mod(360+(float64(d)-0.5)*width, 360), (float64(d)+0.5)*width
		sector := assess.GroundSector{FromDeg: from, ToDeg: to, Ground: groundOf(s.At), ChangeAtM: s.ChangeAtM}
		if s.ChangeAtM == s.ChangeAtM && s.Then >= 0 {
			beyond := groundOf(s.Then)
			sector.Beyond = &beyond
		}
		if n := len(r.out.sectors); n > 0 && d > 0 && s.ChangeAtM != s.ChangeAtM && seen[d-1].ChangeAtM != seen[d-1].ChangeAtM && seen[d-1].At == s.At {
			r.out.sectors[n-1].ToDeg = to
			continue
		}
		r.out.sectors = append(r.out.sectors, sector)
	}
}

// unseen faults ground that no direction meets: to leave it out in silence would be to lie about the map.
func (r *mapReader) unseen(seen *[terrain.DirectionCount]shelter.Seen) {
	met := make([]bool, len(r.grounds))
	for _, s := range seen {
		for _, i := range []int{s.At, s.Then} {
			if i >= 0 {
				met[i] = true
			}
		}
	}
	for i, is := range met {
		if !is {
			r.fault(fmt.Sprintf(".features[%d]", r.featureOf[i]), "is ground that the wind on its way to the mast does not meet in any of 36 directions: it is too "+
				"narrow, or hidden behind two others; leave it out, or draw it as an obstacle with height_m")
		}
	}
}
