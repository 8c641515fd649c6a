package form

import (
	"bytes"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mastworth/api/document"
	"mastworth/api/page"
)

// Every field, group and choice has its words, and the page shows all of them without a fault.
func TestPageShowsEveryField(t *testing.T) {
	v := &View{Form: New(), Action: "/new"}
	for _, g := range groups {
		v.Add(g.place)
	}
	v.Blame("site.obstacles[0].width_m", "is missing")
	var b bytes.Buffer
	if err := page.New().Render(&b, "form", &page.Frame{Title: "x", Page: v}); err != nil {
		t.Fatal(err)
	}
	body := b.String()
	for name := range byPlace {
		name = strings.ReplaceAll(name, "[]", "[0]")
		if !strings.Contains(body, `name="`+name+`"`) {
			t.Errorf("the page lacks %s", name)
		}
		if strings.Count(body, `id="`+ID(name)+`"`) != 1 {
			t.Errorf("%s is there %d times", ID(name), strings.Count(body, `id="`+ID(name)+`"`))
		}
	}
	if b.Len() > 100_000 {
		t.Errorf("the page weighs %d bytes", b.Len())
	}
	t.Logf("%d bytes", b.Len())
}

// values are what a browser sends of a form, as far as the form knows.
func values(f *Form) url.Values {
	out := url.Values{ControlShown: {string(f.Units)}}
	for name, s := range f.typed {
		out.Set(name, s)
	}
	for what, c := range f.chosen {
		out.Set(choicePrefix+what, c)
	}
	for name := range f.ticked {
		out.Set(name, "on")
	}
	if _, other := f.Other(); other != "" {
		out.Set(ControlOther, other)
	}
	return out
}

// The examples come through the form as the same documents, in either units.
func TestDocumentsComeThrough(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "..", "testdata", "examples", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		want, err := document.Decode(text, document.YAML)
		if err != nil {
			t.Fatal(err)
		}
		asJSON, err := document.EncodeJSON(want)
		if err != nil {
			t.Fatal(err)
		}
		for _, u := range []Units{Metric, Feet} {
			f, err := FromDocument(asJSON, u)
			if err != nil {
				t.Fatal(err)
			}
			d, err := FromValues(values(f)).Document()
			if err != nil {
				t.Fatal(err)
			}
			got, err := document.Decode(d.JSON, document.JSON)
			if err != nil {
				t.Fatalf("%s in %s: %v\n%s", file, u, err, d.JSON)
			}
			back, err := document.EncodeJSON(got)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(back, asJSON) {
				t.Errorf("%s in %s came back as\n%s\nand was\n%s", file, u, back, asJSON)
			}
		}
	}
}
