package api

import (
	"bytes"
	"compress/gzip"
	"io"
	"regexp"
	"strings"
	"testing"

	"mastworth/openapi"
)

var (
	ids      = regexp.MustCompile(` id="?([\w-]+)"?`)
	hrefs    = regexp.MustCompile(`href="?#([\w-]+)"?`)
	drawings = regexp.MustCompile(`<math`)
)

// The two long pages weigh what reading them is worth, lead nowhere that is not there, and are sent once to whoever keeps them.
func TestMethodAndContractPages(t *testing.T) {
	f := newFixture(t)
	for path, most := range map[string]int{"/method": 180_000, "/contract": 180_000} {
		a := f.do("GET", path, nil).want(200)
		body := string(a.body)
		if len(body) > most {
			t.Errorf("%s weighs %d bytes", path, len(body))
		}
		there := map[string]bool{}
		for _, m := range ids.FindAllStringSubmatch(body, -1) {
			if there[m[1]] {
				t.Errorf("%s has %s twice", path, m[1])
			}
			there[m[1]] = true
		}
		for _, m := range hrefs.FindAllStringSubmatch(body, -1) {
			if !there[m[1]] {
				t.Errorf("%s leads to #%s, which is not there", path, m[1])
			}
		}
		for _, not := range []string{"NaN", "<nil>", "%!", " style=", "<script", "{{", "ZgotmplZ"} {
			if strings.Contains(body, not) {
				t.Errorf("%s has %q in it", path, not)
			}
		}
		f.do("GET", path, nil, header{"If-None-Match", a.header.Get("ETag")}).want(304)
	}
}

// They travel packed to whoever takes that: the same text, of less than a third of what a page may weigh.
func TestLongPagesTravelPacked(t *testing.T) {
	f := newFixture(t)
	for _, path := range []string{"/method", "/contract"} {
		plain := f.do("GET", path, nil).want(200)
		a := f.do("GET", path, nil, header{"Accept-Encoding", "br;q=1.0, gzip"}).want(200)
		r, err := gzip.NewReader(bytes.NewReader(a.body))
		if err != nil || a.header.Get("Content-Encoding") != "gzip" || a.header.Get("Vary") != "Accept-Encoding" {
			t.Fatalf("%s: %v %v", path, err, a.header)
		}
		text, err := io.ReadAll(r)
		if err != nil || string(text) != string(plain.body) {
			t.Errorf("%s: other bytes, %v", path, err)
		}
		if len(a.body) > 50_000 || a.header.Get("ETag") == plain.header.Get("ETag") {
			t.Errorf("%s: %d bytes packed, %s", path, len(a.body), a.header.Get("ETag"))
		}
		f.do("GET", path, nil, header{"Accept-Encoding", "gzip"}, header{"If-None-Match", a.header.Get("ETag")}).want(304)
		for _, not := range []string{"gzip;q=0", "br", "identity", "gzip; q=x"} {
			if f.do("GET", path, nil, header{"Accept-Encoding", not}).want(200).header.Get("Content-Encoding") != "" {
				t.Errorf("%q is taken for gzip", not)
			}
		}
	}
}

// So does any page of some length, whose tag is weak then, and holds all the same.
func TestPagesTravelPacked(t *testing.T) {
	f := newFixture(t)
	site := f.savedSite(string(exampleJSON(t, "MeanWind")))
	for _, path := range []string{"/sites/" + site, "/new", "/club"} {
		plain := f.do("GET", path, nil).want(200)
		a := f.do("GET", path, nil, header{"Accept-Encoding", "gzip"}).want(200)
		if len(plain.body) < packedFrom {
			if a.header.Get("Content-Encoding") != "" {
				t.Errorf("%s is packed, of %d bytes", path, len(plain.body))
			}
			continue
		}
		r, err := gzip.NewReader(bytes.NewReader(a.body))
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if text, err := io.ReadAll(r); err != nil || string(text) != string(plain.body) {
			t.Errorf("%s: other bytes, %v", path, err)
		}
		if 3*len(a.body) > len(plain.body) || !strings.Contains(strings.Join(a.header.Values("Vary"), ","), "Accept-Encoding") {
			t.Errorf("%s: %d bytes of %d, %v", path, len(a.body), len(plain.body), a.header)
		}
		if tag := a.header.Get("ETag"); tag != "" {
			if tag != "W/"+plain.header.Get("ETag") {
				t.Errorf("%s: %s beside %s", path, tag, plain.header.Get("ETag"))
			}
			f.do("GET", path, nil, header{"Accept-Encoding", "gzip"}, header{"If-None-Match", tag}).want(304)
		}
	}
}

// Every operation, schema and status of the contract is on its page.
func TestTheContractsPageHasAllOfIt(t *testing.T) {
	f := newFixture(t)
	body := string(f.do("GET", "/contract", nil).want(200).body)
	for path, item := range f.spec.Paths.Map() {
		for method, op := range item.Operations() {
			_, part, found := strings.Cut(body, `<div id="`+op.OperationID+`">`)
			part, _, _ = strings.Cut(part, "</details>")
			if !found || !strings.Contains(body, "<b>"+method+"</b> <code>"+path+"</code>") {
				t.Errorf("%s %s is not there", method, path)
			}
			for status := range op.Responses.Map() {
				if !strings.Contains(part, status) {
					t.Errorf("%s lacks the status %s", op.OperationID, status)
				}
			}
			for _, p := range op.Parameters {
				if !strings.Contains(part, "<td>"+p.Value.Name) {
					t.Errorf("%s lacks the parameter %s", op.OperationID, p.Value.Name)
				}
			}
		}
	}
	for name, s := range f.spec.Components.Schemas {
		_, part, found := strings.Cut(body, `<h3 id="`+name+`">`)
		part, _, _ = strings.Cut(part, "<h3 ")
		if !found {
			t.Errorf("the schema %s is not there", name)
		}
		for p := range s.Value.Properties {
			if !strings.Contains(part, "<tr><td>"+p) {
				t.Errorf("%s lacks %s", name, p)
			}
		}
	}
	for _, want := range []string{"What version 1 promises", "RFC 9745", "curl -s -X POST $SERVICE/v1/estimates"} {
		if !strings.Contains(body, want) {
			t.Errorf("it lacks %q", want)
		}
	}
}

// The page and its JSON tell the same methods.
func TestMethodsAreThePages(t *testing.T) {
	f := newFixture(t)
	var list openapi.MethodList
	f.do("GET", "/v1/methods", nil).want(200).json(&list)
	page := string(f.do("GET", "/method", nil).want(200).body)
	drawn := 0
	for _, g := range list.Groups {
		for i := range g.Methods {
			m := &g.Methods[i]
			if !strings.Contains(page, `<article id="`+g.Name+"-"+m.Name+`">`) {
				t.Errorf("the page lacks %s.%s", g.Name, m.Name)
			}
			for _, formula := range m.Formulas {
				if drawn++; !strings.Contains(page, formula.Mathml) {
					t.Errorf("the page lacks %s", formula.Text)
				}
			}
			drawn += len(m.Symbols)
		}
	}
	if n := len(drawings.FindAllString(page, -1)); n != drawn || len(list.Groups) < 20 {
		t.Errorf("%d formulas and symbols on the page, %d in JSON, in %d groups", n, drawn, len(list.Groups))
	}
}
