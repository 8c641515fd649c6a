package page

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	placesInWords = regexp.MustCompile(`\b(?:site|wind|shear|turbine|towers|losses|money|solar|household|uncertainty)(?:\.[a-z][a-z0-9_]*|\[\d+\])+`)
	rowOfPlace    = regexp.MustCompile(`\[(\d+)\]`)
	valueOfPlace  = regexp.MustCompile(`”: (?:\{cover: ([a-z ]+)\}|true or false)`)
	coverClass    = regexp.MustCompile(`(cover class )"([a-z ]+)"|"([a-z ]+)"( \(roughness length)`)
)

// noObstacles is how a document says that nothing stands around.
const noObstacles = "site.obstacles, an empty list"

// LabelPlaces has a sentence speak of the guided form's fields where it speaks of places in the request document. label is what a place is
// called; a place for which it is empty stays as it is.
func LabelPlaces(words string, label func(place string) string) string {
	return placesInWords.ReplaceAllStringFunc(words, func(place string) string {
		if called := label(place); called != "" {
			return Text("form.named", called)
		}
		return place
	})
}

// inLabels is LabelPlaces by the catalogue alone, for pages that have no form at hand. What a document would say there is told as the form
// offers it.
func inLabels(words string) string {
	words = strings.ReplaceAll(words, noObstacles, Text("form.named", Text("form.none.obstacles")))
	words = LabelPlaces(words, placeLabel)
	return valueOfPlace.ReplaceAllStringFunc(words, func(said string) string {
		cover := valueOfPlace.FindStringSubmatch(said)[1]
		if cover == "" {
			return "”"
		}
		return "”: " + Text("form.named", coverWords(cover))
	})
}

// inClasses has a sentence tell kinds of ground, which documents quote, as the form offers them.
func inClasses(words string) string {
	return coverClass.ReplaceAllStringFunc(words, func(said string) string {
		m := coverClass.FindStringSubmatch(said)
		class := m[2] + m[3]
		if called := coverWords(class); called != class {
			return m[1] + Text("form.named", called) + m[4]
		}
		return said
	})
}

// coverWords is what the form calls a class of ground.
func coverWords(class string) string {
	if words, has := catalogue()["form.cover."+strings.ReplaceAll(class, " ", "_")]; has {
		return words
	}
	return class
}

// placeLabel is what the form calls a place, with the row it lies in; empty where it has nothing there. Of a place with parts it is the
// first that the form asks for.
func placeLabel(place string) string {
	row := ""
	if m := rowOfPlace.FindStringSubmatchIndex(place); m != nil {
		i, err := strconv.Atoi(place[m[2]:m[3]])
		pattern, has := catalogue()["form."+place[:m[0]]+".row"]
		if err != nil || !has || strings.Count(pattern, "%d") != 1 {
			return ""
		}
		row = Text("form."+place[:m[0]]+".row", i+1)
		if m[1] == len(place) {
			return row
		}
		row += ", "
	}
	key := "form." + rowOfPlace.ReplaceAllString(place, "")
	for _, part := range []string{"", ".cover", ".id"} {
		if words, has := catalogue()[key+part]; has && !strings.Contains(words, "%") {
			return row + words
		}
	}
	return ""
}

// problemPlace is what the form calls the place of a problem, which begins with the word for a body or a saved request; empty where it has
// nothing there.
func problemPlace(location string) string {
	for _, of := range []string{"body.", "request."} {
		if place, cut := strings.CutPrefix(location, of); cut {
			return placeLabel(place)
		}
	}
	return ""
}

// The readers name their options as the command does; pages call them as the form that takes a file does.
var (
	optionNamed = regexp.MustCompile(`\b(?:the )?option ([a-z_]+)\b`)
	optionValue = regexp.MustCompile(`\b(column|only|missing)=([^\s;,)]+(?:,[a-z]+=[^\s;,)]+)*)`)
	optionName  = regexp.MustCompile(`\b(header_line|time_layout|date_order|stamps_at|utc_offset|speed_unit|default_height_m)\b`)
)

// inOptions has a sentence speak of that form's fields where it speaks of options.
func inOptions(words string) string {
	label := func(name, otherwise string) string {
		if called, has := catalogue()["records.option."+name]; has {
			return Text("form.named", called)
		}
		return otherwise
	}
	words = optionValue.ReplaceAllStringFunc(words, func(s string) string {
		m := optionValue.FindStringSubmatch(s)
		return label(m[1], m[1]) + ": " + m[2]
	})
	words = optionNamed.ReplaceAllStringFunc(words, func(s string) string { return label(optionNamed.FindStringSubmatch(s)[1], s) })
	return optionName.ReplaceAllStringFunc(words, func(s string) string { return label(s, s) })
}
