package chart

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

var update = flag.Bool("update", false, "write the golden pictures anew, to be looked at")

// Every picture is built as the golden one: the same elements in the same order with the same attributes and texts, their
// coordinates within a pixel, since processors differ in the last digits of a float. A change that is meant is written with
// -update and looked at.
func TestGoldenPictures(t *testing.T) {
	for _, c := range sampleCharts(t) {
		raw := svgOf(t, c, Options{})
		path := filepath.Join("testdata", "golden", c.Name+".svg")
		if *update {
			if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, raw, 0o644)); err != nil {
				t.Fatal(err)
			}
			continue
		}
		golden, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("%s has no golden picture: %v; go test ./api/chart -update writes it", c.Name, err)
		}
		if differ := structureDiffers(parse(t, raw), parse(t, golden), "svg"); differ != "" {
			t.Errorf("%s: %s (if it is meant so: go test ./api/chart -update, and look at the picture)", c.Name, differ)
		}
	}
}

// structureDiffers says where two trees differ, or nothing.
func structureDiffers(got, want *element, at string) string {
	if got.XMLName.Local != want.XMLName.Local {
		return fmt.Sprintf("%s is a %s, not a %s", at, got.XMLName.Local, want.XMLName.Local)
	}
	if len(got.Attrs) != len(want.Attrs) {
		return fmt.Sprintf("%s has %d attributes, not %d", at, len(got.Attrs), len(want.Attrs))
	}
	for i, a := range want.Attrs {
		if g := got.Attrs[i]; g.Name != a.Name || !sameAttribute(a.Name.Local, g.Value, a.Value) {
			return fmt.Sprintf("%s has %s=%q, not %s=%q", at, g.Name.Local, g.Value, a.Name.Local, a.Value)
		}
	}
	if got.Text != want.Text {
		return fmt.Sprintf("%s says %q, not %q", at, got.Text, want.Text)
	}
	if len(got.Children) != len(want.Children) {
		return fmt.Sprintf("%s has %d parts, not %d", at, len(got.Children), len(want.Children))
	}
	for i := range want.Children {
		c := &want.Children[i]
		if differ := structureDiffers(&got.Children[i], c, fmt.Sprintf("%s › %s %d", at, c.XMLName.Local, i+1)); differ != "" {
			return differ
		}
	}
	return ""
}

// sameAttribute holds two values of an attribute to each other: coordinates within a pixel, names as they are.
func sameAttribute(name, got, want string) bool {
	if got == want || name == "class" || name == "id" {
		return got == want
	}
	a, b := coordinate.FindAllString(got, -1), coordinate.FindAllString(want, -1)
	if len(a) != len(b) || coordinate.ReplaceAllString(got, "#") != coordinate.ReplaceAllString(want, "#") {
		return false
	}
	for i := range a {
		x, errX := strconv.ParseFloat(a[i], 64)
		y, errY := strconv.ParseFloat(b[i], 64)
		if errX != nil || errY != nil || math.Abs(x-y) > 1 {
			return false
		}
	}
	return true
}

// The comparison itself sees what it is there for.
func TestStructureDiffers(t *testing.T) {
	const base = `<svg a="1.2"><g class="x"><path d="M1.0,2.0L3.5,4.0"/><text>6 m</text></g></svg>`
	for name, other := range map[string]string{
		"coordinate": `<svg a="1.2"><g class="x"><path d="M1.0,2.0L3.5,9.0"/><text>6 m</text></g></svg>`,
		"class":      `<svg a="1.2"><g class="y"><path d="M1.0,2.0L3.5,4.0"/><text>6 m</text></g></svg>`,
		"text":       `<svg a="1.2"><g class="x"><path d="M1.0,2.0L3.5,4.0"/><text>7 m</text></g></svg>`,
		"part":       `<svg a="1.2"><g class="x"><path d="M1.0,2.0L3.5,4.0"/></g></svg>`,
		"points":     `<svg a="1.2"><g class="x"><path d="M1.0,2.0L3.5,4.0L5.0,5.0"/><text>6 m</text></g></svg>`,
	} {
		if structureDiffers(parse(t, []byte(other)), parse(t, []byte(base)), "svg") == "" {
			t.Errorf("another %s goes unseen", name)
		}
	}
	if differ := structureDiffers(parse(t, []byte(`<svg a="1.3"><g class="x"><path d="M1.1,2.0L3.4,4.0"/><text>6 m</text></g></svg>`)),
		parse(t, []byte(base)), "svg"); differ != "" {
		t.Errorf("last digits: %s", differ)
	}
}
