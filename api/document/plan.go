package document

import (
	"reflect"
	"strings"
	"time"

	"mastworth/openapi"
)

// plan says how a value of one Go type is read and written; it is made once for each type.
type plan struct {
	typ      reflect.Type
	size     uintptr // of one, bytes
	form     form
	elem     *plan // of what a pointer or a list holds
	other    *plan // of what may stand in its place
	fields   []fieldPlan
	required uint64   // bit i: fields[i] must be there
	words    []string // of an enumeration
}

// form is what a type is to the documents.
type form uint8

const (
	formPointer form = iota
	formGroup
	formTilt
	formTowers
	formList
	formPairs // [][]float64, as a power curve is: many short lists in one piece of memory
	formFloat
	formInteger
	formBool
	formText
	formTime // in answers alone
	formRaw  // a part that is read elsewhere, kept as JSON
)

type fieldPlan struct {
	name   string // on the wire
	key    string // the name in quotes between a comma and a colon
	index  int    // in the struct
	offset uintptr
	plan   *plan
}

// enumerations are the string types with a closed list of words. A test holds them against the contract.
var enumerations = map[reflect.Type][]string{
	coverType: {"sea", "smooth", "open", "roughly open", "rough", "very rough", "closed", "chaotic"},

	reflect.TypeFor[openapi.ReliefShape]():            {"ridge", "hill", "escarpment", "valley", "lee"},
	reflect.TypeFor[openapi.LongTermInputMethod]():    {"variance_ratio", "least_squares", "speed_ratio"},
	reflect.TypeFor[openapi.ShearInputMethod]():       {"auto", "log", "power", "measured"},
	reflect.TypeFor[openapi.TurbineInputRegulation](): {"furling", "stall", "pitch", "none"},

	reflect.TypeFor[openapi.FetchInputSource]():  {"nasa_power", "open_meteo", "isd_lite", "isd", "ghcn_hourly", "airport_reports"},
	reflect.TypeFor[openapi.KeyRequestScope]():   {"read", "write", "admin"},
	reflect.TypeFor[openapi.RotorInputSection](): {"flat_plate", "curved_plate", "flat_underside", "s809"},

	reflect.TypeFor[openapi.RecordFormat](): {"epw", "tmy3", "isd_lite", "isd", "isd_csv", "ghcn_hourly", "airport_reports", "nasa_power_csv",
		"nasa_power_json", "open_meteo_csv", "open_meteo_json", "parquet", "logger_csv"},
	reflect.TypeFor[openapi.StampsAt]():  {"begin", "end", "unknown"},
	reflect.TypeFor[openapi.SpeedUnit](): {"m/s", "km/h", "mph", "knots", "ft/s"},
	reflect.TypeFor[openapi.Delimiter](): {"comma", "semicolon", "tab", "pipe", "space"},
	reflect.TypeFor[openapi.DateOrder](): {"ymd", "dmy", "mdy"},
}

var (
	tiltType    = reflect.TypeFor[openapi.Tilt]()
	towersType  = reflect.TypeFor[openapi.Towers]()
	timeType    = reflect.TypeFor[time.Time]()
	mapType     = reflect.TypeFor[openapi.SiteMap]()
	coverType   = reflect.TypeFor[openapi.Cover]()
	pairsType   = reflect.TypeFor[[][]float64]()
	requestPlan = newPlan(reflect.TypeFor[openapi.EstimateRequest]())
)

// newPlan panics on a type the documents have no use for: that is a change of the contract this package must follow.
func newPlan(t reflect.Type) *plan {
	p := &plan{typ: t, size: t.Size()}
	switch t.Kind() {
	case reflect.Pointer:
		p.form, p.elem = formPointer, newPlan(t.Elem())
	case reflect.Slice:
		if t == mapType {
			p.form = formRaw
			break
		}
		p.form, p.elem = formList, newPlan(t.Elem())
		if t == pairsType {
			p.form = formPairs
		}
	case reflect.Struct:
		switch t {
		case tiltType:
			p.form = formTilt
		case towersType:
			p.form, p.elem, p.other = formTowers, newPlan(reflect.TypeFor[[]openapi.Tower]()), newPlan(reflect.TypeFor[openapi.TowerRule]())
		case timeType:
			p.form = formTime
		default:
			p.form = formGroup
			p.addFields()
		}
	case reflect.String:
		p.form, p.words = formText, enumerations[t]
	case reflect.Float64:
		p.form = formFloat
	case reflect.Int, reflect.Int64:
		p.form = formInteger
	case reflect.Bool:
		p.form = formBool
	default:
		panic("document: a type of the request that cannot be bound")
	}
	return p
}

func (p *plan) addFields() {
	for i := range p.typ.NumField() {
		f := p.typ.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if options == "" {
			p.required |= 1 << len(p.fields)
		}
		p.fields = append(p.fields, fieldPlan{name: name, key: `,"` + name + `":`, index: i, offset: f.Offset, plan: newPlan(f.Type)})
		if form := p.fields[i].plan.form; options != "" && form != formPointer && form != formList && form != formPairs {
			panic("document: an optional field that cannot tell that it is not there")
		}
	}
	if len(p.fields) > 64 {
		panic("document: a group with more than 64 fields")
	}
}

// field is the index into fields of a wire name, or -1.
func (p *plan) field(name string) int {
	for i := range p.fields {
		if p.fields[i].name == name {
			return i
		}
	}
	return -1
}

func (p *plan) names() []string {
	out := make([]string, len(p.fields))
	for i, f := range p.fields {
		out[i] = f.name
	}
	return out
}

// nearest is the known name most like a misspelt one, or "" when none is near.
func nearest(name string, known []string) string {
	if len(name) > 60 {
		return ""
	}
	plain := func(s string) string { return strings.ToLower(strings.NewReplacer("-", "_", " ", "_").Replace(s)) }
	best, least := "", max(2, len(name)/3)+1
	for _, k := range known {
		d := distance(plain(name), k)
		if strings.HasPrefix(k, plain(name)+"_") { // "latitude" for "latitude_deg", "elevation" for "elevation_m"
			d = min(d, 1)
		}
		if d < least {
			best, least = k, d
		}
	}
	return best
}

// distance counts the letters to insert, drop or change between a and b (Levenshtein 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, diagonal+1, row[j]+1)
		}
	}
	return row[len(b)]
}
