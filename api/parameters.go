package api

import (
	"fmt"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page/form"
	"mastworth/openapi"
)

// check says what is wrong with a parameter's value, or nothing.
type check func(value string) string

// maxHeaderLength is the contract's limit of If-Match and If-None-Match.
const maxHeaderLength = 400

var checkID check = func(v string) string {
	if !document.IsID(v) {
		return "must be an id: up to 64 letters, digits, - and _"
	}
	return ""
}

func checkWhole(low, high int) check {
	return func(v string) string {
		if n, err := strconv.Atoi(v); err != nil || n < low || n > high {
			return "must be a whole number from " + strconv.Itoa(low) + " to " + strconv.Itoa(high)
		}
		return ""
	}
}

func checkNumber(low, high float64) check {
	return func(v string) string {
		if n, err := strconv.ParseFloat(v, 64); err != nil || !(n >= low && n <= high) {
			return fmt.Sprintf("must be a number from %g to %g", low, high)
		}
		return ""
	}
}

func checkLength(least, most int) check {
	return func(v string) string {
		if n := utf8.RuneCountInString(v); n < least || n > most {
			return fmt.Sprintf("must be from %d to %d characters long", least, most)
		}
		return ""
	}
}

func checkPattern(least, most int, pattern, wrong string) check {
	is, length := regexp.MustCompile(pattern), checkLength(least, most)
	return func(v string) string {
		if !is.MatchString(v) {
			return wrong
		}
		return length(v)
	}
}

func checkWord(words ...string) check {
	return func(v string) string {
		for _, w := range words {
			if v == w {
				return ""
			}
		}
		return "must be " + strings.Join(words, " or ")
	}
}

// orEmptyField takes what a form sends for a choice of "any", too.
func orEmptyField(is check) check {
	return func(v string) string {
		if v == "" {
			return ""
		}
		return is(v)
	}
}

// The query parameters of the contract's operations, by method and route. An operation that is not here has none.
// The upload is not here: its parameters are the readers' options, which it checks itself.
var (
	paging       = map[string]parameter{"limit": {is: checkWhole(1, 500)}, "after": {is: checkID}}
	boardSort    = checkWord("updated", "name", "energy", "cost", "height")
	boardVerdict = checkWord("worth_it", "close_call", "not_worth_it", "cannot_say")
	unitsAlone   = map[string]parameter{"units": {is: checkUnits}}
	query        = map[string]map[string]parameter{
		"GET /v1/records":             paging,
		"GET /v1/sites":               paging,
		"GET /v1/curves":              paging,
		"GET /v1/sources":             {"latitude": {is: checkNumber(-90, 90), needed: true}, "longitude": {is: checkNumber(-180, 180), needed: true}},
		"GET /v1/curves/:id":          {"format": {is: checkWord("json", "csv")}},
		"GET /v1/records/:id/samples": {"format": {is: checkWord("csv", "parquet")}},
		"GET /v1/records/:id/screening": {
			"leave_out": {is: checkLength(1, 40), more: 19},
			"limit":     {is: checkPattern(3, 80, `^[a-z0-9_.]+=.+$`, "must be NAME=NUMBER, such as range.speed_max_m_s=60"), more: 39},
		},
		"GET /v1/club/board":               {"sort": {is: boardSort}, "verdict": {is: boardVerdict}, "limit": {is: checkWhole(1, 500)}, "after": {is: checkID}},
		"GET /club":                        {"sort": {is: boardSort}, "verdict": {is: orEmptyField(boardVerdict)}, "after": {is: checkID}, "units": {is: checkUnits}},
		"GET /sites":                       {"after": {is: checkID}, "units": {is: checkUnits}},
		"GET /sites/:id":                   unitsAlone,
		"GET /sites/:id/report":            unitsAlone,
		"GET /sites/:id/edit":              unitsAlone,
		"GET /club/sites/:id":              unitsAlone,
		"GET /club/sites/:id/embed":        unitsAlone,
		"GET /club/sites/:id/charts/:file": withChartQuery(map[string]parameter{"units": {is: checkUnits}}),
		"GET /new":                         {"example": {is: checkWord(form.Examples()...)}, "units": {is: checkUnits}},
		"GET /sites/:id/charts/:file":      withChartQuery(map[string]parameter{"units": {is: checkUnits}}),
		"GET /signin":                      {"next": {is: checkLength(0, 1000)}},
		"GET /oembed": {"url": {is: checkLength(1, 2000)}, "format": {is: checkWord("json", "xml")}, "maxwidth": {is: checkWhole(1, 10000)},
			"maxheight": {is: checkWhole(1, 10000)}},
		"GET /records": {"after": {is: checkID}, "latitude": {is: orEmptyField(checkNumber(-90, 90))},
			"longitude": {is: orEmptyField(checkNumber(-180, 180))}, "source": {is: checkLength(0, 40)}, "station": {is: checkLength(0, 40)},
			"from_year": {is: orEmptyField(checkWhole(1900, 2200))}, "to_year": {is: orEmptyField(checkWhole(1900, 2200))}, "units": {is: checkUnits}},
		"GET /records/:id":              {"channel": {is: checkLength(0, 200)}, "whole": {is: checkWord("true", "false")}, "units": {is: checkUnits}},
		"GET /records/:id/charts/:file": withChartQuery(map[string]parameter{"channel": {is: checkLength(0, 200)}, "units": {is: checkUnits}}),
		"GET /curves":                   {"after": {is: checkID}, "units": {is: checkUnits}},
		"GET /curves/:id":               unitsAlone,
		"GET /curves/:id/charts/:file":  withChartQuery(map[string]parameter{"units": {is: checkUnits}}),
		"GET /balance": {"masses": {is: checkLength(0, 400)}, "centres": {is: checkLength(0, 400)}, "rpm": {is: checkLength(0, 40)},
			"tip_radius": {is: checkLength(0, 40)}},
		"GET /v1/sites/:id/readings":   paging,
		"POST /v1/sites/:id/readings":  {"utc_offset": {is: checkPattern(1, 6, `^(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00))$`, "must be an offset such as +01:00")}},
		"GET /v1/sites/:id/harvest":    {"hub_height_m": {is: checkNumber(0.1, 300)}, "record": {is: checkID}},
		"GET /sites/:id/harvest":       {"hub_height_m": harvestQuery["hub_height_m"], "record": harvestQuery["record"], "after": {is: checkID}, "units": {is: checkUnits}},
		"POST /sites/:id/harvest":      harvestQuery,
		"GET /sites/:id/harvest/:file": withChartQuery(map[string]parameter{"hub_height_m": harvestQuery["hub_height_m"], "record": harvestQuery["record"]}),
		"GET /v1/records/:id/coverage": {"channel": {is: checkLength(1, 200)}},
		"GET /v1/records/:id/climate":  {"channel": {is: checkLength(1, 200)}, "sectors": {is: checkWord("8", "12", "16", "36")}},
	}
)

// parameter is one that may be in a query: what its values must be, how many there may be beyond the first, and whether there must be one.
type parameter struct {
	is     check
	more   int
	needed bool
}

// parameters refuses what the contract does not have, before the operation sees it: the generated code would drop an unknown
// query parameter and bind the rest without looking at limits.
func (s *service) parameters(c *gin.Context) {
	if e := c.Request.Header.Get("Content-Encoding"); e != "" && !strings.EqualFold(e, "identity") {
		s.refuse(c, newProblem(unsupportedMedia, "bodies are taken uncompressed").
			at("header.Content-Encoding", "must be identity or left out, not %s", printable(e)))
		return
	}
	var wrong places
	if id, has := c.Params.Get("id"); has {
		wrong.check("path.id", checkID(id))
	}
	for _, name := range [...]string{"If-Match", "If-None-Match"} {
		values := c.Request.Header[name]
		if len(values) > 1 { // one list may come as several lines
			values = []string{strings.Join(values, ", ")}
			c.Request.Header[name] = values
		}
		if len(values) == 1 && utf8.RuneCountInString(values[0]) > maxHeaderLength {
			wrong.check("header."+name, fmt.Sprintf("must be at most %d characters long", maxHeaderLength))
		}
	}
	operation := c.Request.Method + " " + c.FullPath()
	if known := query[operation]; operation != "POST /v1/records" && (c.Request.URL.RawQuery != "" || len(known) > 0) {
		wrong.query(c.Request.URL.RawQuery, known, !strings.HasPrefix(c.FullPath(), "/v1/"))
	}
	if len(wrong) > 0 {
		s.refuse(c, &problem{kind: invalidParameters, detail: "a part of the address or a header is wrong", errors: wrong})
	}
}

// places gathers what is wrong, and where.
type places []openapi.ProblemError

// check notes what is wrong at a place, if anything.
func (p *places) check(location, wrong string) {
	if wrong != "" {
		*p = append(*p, openapi.ProblemError{Location: location, Detail: wrong})
	}
}

// query checks a query. A page's may have more in it than is known, since links to pages come with what others put into them.
func (p *places) query(raw string, known map[string]parameter, ofPage bool) {
	values, err := url.ParseQuery(raw)
	if err != nil {
		p.check("query", "cannot be read: "+err.Error())
		return
	}
	for name, is := range known {
		if is.needed && len(values[name]) == 0 {
			p.check("query."+name, "is missing")
		}
	}
	for name, given := range values {
		known, ok := known[name]
		switch {
		case ofPage && !ok:
		case !ok:
			p.check("query."+printable(name), "is not a parameter of this operation")
		case len(given) > 1 && known.more == 0:
			p.check("query."+name, "is given twice; keep one")
		case len(given) > 1+known.more:
			p.check("query."+name, fmt.Sprintf("is given %d times; at most %d are taken", len(given), 1+known.more))
		default:
			for _, v := range given {
				p.check("query."+name, known.is(v))
			}
		}
	}
}

// printable keeps a name from the outside short and free of control characters.
func printable(name string) string {
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return utf8.RuneError
		}
		return r
	}, strings.ToValidUTF8(name, string(utf8.RuneError)))
	if runes := []rune(name); len(runes) > 60 {
		return string(runes[:60]) + "…"
	}
	return name
}
