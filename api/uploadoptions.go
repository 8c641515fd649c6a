package api

import (
	"net/url"
	"unicode/utf8"

	"mastworth/api/document"
	"mastworth/resource/ingest"
)

// uploadOptions turns the query into the readers' options. name is what to call the record.
func uploadOptions(raw string) (o ingest.Options, name string, err error) {
	p := newProblem(invalidParameters, "the file cannot be read the way the query asks")
	values, err := url.ParseQuery(raw)
	if err != nil {
		return o, "", p.at("query", "cannot be read: %s", err)
	}
	settings := map[string]ingest.Setting{}
	for _, st := range ingest.Settings() {
		settings[st.Name] = st
	}
	for key, given := range values {
		st, ok := settings[key]
		switch {
		case key == "name" && len(given) == 1:
			if name = given[0]; name == "" || utf8.RuneCountInString(name) > maxNameLength {
				p.add("query.name", "must be from 1 to %d characters long", maxNameLength)
			}
			continue
		case !ok && key != "name" || key == "max_rows": // a limit is the service's to set
			p.add("query."+printable(key), "is not a parameter of this operation")
			continue
		case len(given) > 1 && !st.Repeated:
			p.add("query."+key, "is given twice; keep one")
			continue
		}
		setOption(&o, key, given, p)
	}
	if len(p.errors) == 0 {
		if err := o.Validate(); err != nil {
			for _, e := range document.OptionErrors(err) {
				p.add("query."+e.Option, "%s", e.Reason)
			}
		}
	}
	if len(p.errors) > 0 {
		return o, "", p
	}
	return o, name, nil
}

const maxNameLength = 200

// setOption sets one option to all the values given, within the contract's limits.
func setOption(o *ingest.Options, key string, given []string, p *problem) {
	l := optionLimits[key]
	if l.count > 0 && len(given) > l.count {
		p.add("query."+key, "may be given at most %d times", l.count)
		return
	}
	for _, v := range given {
		if n := utf8.RuneCountInString(v); n < l.shortest || l.longest > 0 && n > l.longest {
			p.add("query."+key, "must be from %d to %d characters long", l.shortest, l.longest)
			continue
		}
		if l.is != nil && l.is(v) != "" {
			p.add("query."+key, "%s", l.is(v))
			continue
		}
		if err := o.Set(key, v); err != nil {
			for _, e := range document.OptionErrors(err) {
				p.add("query."+e.Option, "%s", e.Reason)
			}
		}
	}
}

// optionLimits are the contract's limits that the readers do not have themselves.
var optionLimits = map[string]struct {
	count, shortest, longest int
	is                       check
}{
	"column":      {count: 60, shortest: 3, longest: 300},
	"only":        {count: 20, shortest: 2, longest: 300},
	"missing":     {count: 20, shortest: 1, longest: 40},
	"time_layout": {shortest: 1, longest: 60},
	"utc_offset":  {shortest: 1, longest: 6},
	"header_line": {is: checkWhole(-1, 1_000_000)},
	"delimiter":   {is: checkWord("comma", "semicolon", "tab", "pipe", "space")},
	"date_order":  {is: checkWord("ymd", "dmy", "mdy")},
	"stamps_at":   {is: checkWord("begin", "end", "unknown")},
	"speed_unit":  {is: checkWord("m/s", "km/h", "mph", "knots", "ft/s")},
	"format":      {is: checkWord(ingest.Formats()...)},
}
