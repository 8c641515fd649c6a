package form

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"mastworth/api/page"
)

var (
	placesInWords = regexp.MustCompile(`\b(?:site|wind|shear|turbine|towers|losses|money|solar|household|uncertainty)(?:\.[a-z][a-z0-9_]*|\[\d+\])+`)
	namesInWords  = regexp.MustCompile(`\b[a-z]+(?:_[a-z0-9]+)+\b`)
)

// labelled puts the labels of the form where a fault speaks of places in the document; those that the form does not have stay.
func (d *Document) labelled(fault Fault) string {
	detail := placesInWords.ReplaceAllStringFunc(fault.Detail, func(place string) string {
		if label := d.labelAt(place); label != "" {
			return page.Text("form.named", label)
		}
		return place
	})
	return namesInWords.ReplaceAllStringFunc(detail, func(name string) string {
		for at := fault.Place; at != ""; at = parent(at) {
			if label := d.labelAt(at + "." + name); label != "" {
				return page.Text("form.named", label)
			}
		}
		if label := labelOfName(name); label != "" {
			return page.Text("form.named", label)
		}
		return name
	})
}

// labelAt is the label of a place in the document; empty where the form has nothing there.
func (d *Document) labelAt(place string) string {
	if name, rest := d.name(place); name != "" && rest == "" {
		return Label(name)
	}
	return ""
}

// labelOfName is the label of the one field whose place ends in a name; empty where there is none, or several.
func labelOfName(name string) string {
	found := ""
	for i := range fields {
		if strings.HasSuffix(fields[i].place, "."+name) {
			if found != "" {
				return ""
			}
			found = fields[i].place
		}
	}
	if found == "" {
		return ""
	}
	return Label(found)
}

// Label is what the page calls a field, a row, a group or a choice; its name where it is none of them.
func Label(name string) string {
	if m := rowName.FindStringSubmatch(name + "."); m != nil && groupByPlace[m[1]] != nil {
		n, _ := strconv.Atoi(m[2]) // digits
		row := page.Text("form."+m[1]+".row", n+1)
		if fieldOf(name) == nil {
			return row
		}
		return row + ", " + page.Text("form."+key(name))
	}
	switch {
	case fieldOf(name) != nil, groupByPlace[name] != nil, slices.Contains(Fetching, name), strings.HasPrefix(name, choicePrefix),
		name == "wind.file", name == "draft", name == "example":
		return page.Text("form." + key(name))
	}
	return name
}
