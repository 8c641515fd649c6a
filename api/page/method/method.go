// Package method has the formulas by which the numbers are worked out, where each comes from, and the codes of the warnings the answer
// gives where it leans on it. They stand in one file a group, in the order of the data's way. What is said of them in words is in the
// pages' catalogue, so that a translation is one file and formulas are written once.
package method

import (
	"embed"
	"fmt"
	"sync"

	"github.com/goccy/go-yaml"

	"mastworth/api/page/mathml"
)

//go:embed *.yaml
var files embed.FS

// order is the way of the data.
var order = [...]string{
	"data", "wind", "shear", "air", "ground", "obstacles", "relief", "longrun", "extreme", "energy", "design", "bins", "losses", "money", "solar",
	"household", "odds", "decision", "verdict", "harvest",
}

// Group is the methods for one thing.
type Group struct {
	Name    string
	Methods []Method
}

// Method is one way to work something out.
type Method struct {
	Name     string
	Packages []string // that hold it; the first is where a source is named that names no other
	Formulas []Formula
	Symbols  []Symbol
	Sources  []Source
	Warnings []string // codes
}

// Formula is written in a line as package mathml has it, and as MathML.
type Formula struct{ Text, MathML string }

// UnmarshalYAML reads the line.
func (f *Formula) UnmarshalYAML(raw []byte) (err error) {
	if err = yaml.Unmarshal(raw, &f.Text); err == nil {
		f.MathML, err = mathml.Write(f.Text)
	}
	return err
}

// Symbol is what stands for a quantity.
type Symbol struct {
	Symbol string
	Means  string // a key of the catalogue, behind method.symbol.
	Unit   string // empty for a number
}

// Source is where a method comes from, as the code names it.
type Source struct {
	Name    string // empty for a kind
	Kind    Kind
	Memory  bool // the code says that it was written down from memory
	Package string
}

// Kind is a source that is no publication.
type Kind string

// The kinds.
const (
	Published  Kind = ""
	Judgement  Kind = "judgement"
	Practice   Kind = "practice" // common practice
	Memory     Kind = "memory"   // of published ranges, without a name
	Textbook   Kind = "textbook"
	Definition Kind = "definition"
	Own        Kind = "own"     // worked out for this service
	Unnamed    Kind = "unnamed" // the code names none
)

// Kinds are all of them but Published.
func Kinds() []Kind { return []Kind{Judgement, Practice, Memory, Textbook, Definition, Own, Unnamed} }

// Groups are all methods; the slice is shared and must not be changed. A file that cannot be read ends the program.
var Groups = sync.OnceValue(func() []Group {
	groups := make([]Group, len(order))
	for i, name := range order {
		raw, err := files.ReadFile(name + ".yaml")
		if err == nil {
			groups[i].Name = name
			err = yaml.UnmarshalWithOptions(raw, &groups[i].Methods, yaml.DisallowUnknownField())
		}
		if err != nil {
			panic(fmt.Sprintf("method: %s.yaml: %s", name, err))
		}
		for k := range groups[i].Methods {
			groups[i].Methods[k].complete()
		}
	}
	return groups
})

func (m *Method) complete() {
	for i := range m.Sources {
		if s := &m.Sources[i]; s.Package == "" {
			s.Package = m.Packages[0]
		}
	}
}
