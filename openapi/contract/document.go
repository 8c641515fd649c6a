// Package contract reads the OpenAPI document of the service into what a reader of it asks for: operations by group, their parameters, bodies
// and answers, and the schemas, everything in the order of the document. It reads what our document uses of OpenAPI, and refuses what it
// does not know, so that nothing of the contract is left out in silence.
package contract

// Document is the contract.
type Document struct {
	Title, Version, Description string
	Groups                      []Group
	Answers                     []Answer // that operations share, by their name in Shared
	Schemas                     []Schema
}

// Group is the operations of one tag.
type Group struct {
	Name, Description string
	Operations        []Operation
}

// Operation is one method at one address.
type Operation struct {
	ID, Method, Path, Summary, Description string
	Public                                 bool // needs no key
	Deprecated                             bool
	Parameters                             []Property
	Body                                   *Body // nil for none
	Answers                                []Answer
}

// Body is what is sent.
type Body struct {
	Description string
	Required    bool
	Media       []Media
}

// Media are content types of one schema.
type Media struct {
	Types   []string
	Type    Type
	Example string // as JSON; empty for none
}

// Answer is what comes back with a status.
type Answer struct {
	Status, Description string
	Shared              string // the name of an answer that operations share; empty for its own
	Media               []Media
	Headers             []Property
}

// Property is a named value: a property of an object, a parameter, a header.
type Property struct {
	Name        string
	In          string // path, query, header; empty for a property
	Required    bool
	Deprecated  bool
	MayBeEmpty  bool // a parameter that may be given without a value
	Description string
	Example     string
	Type        Type
}

// Type is what a value may be.
type Type struct {
	Kind       string     // string, number, integer, boolean, object, array; empty for a reference, a choice, or anything
	Ref        string     // name of a schema
	Items      *Type      // of an array
	Values     *Type      // of an object's members that have no name of their own
	Choice     []Type     // one of these, or more
	Together   [][]string // for a choice by members: the sets of members of which one must be there
	Properties []Property // of an object
	Closed     bool       // an object that takes no other member
	Nullable   bool
	Format     string
	Limits     []Limit
	Enum       []string
	Open       bool // the enum may gain values in answers
	Default    string
}

// Limit is a constraint by its name in OpenAPI, with its value as written.
type Limit struct{ Name, Value string }

// Schema is a named type.
type Schema struct {
	Name, Description string
	Type              Type
}

// Schema is the schema of a name; nil for none.
func (d *Document) Schema(name string) *Schema {
	for i := range d.Schemas {
		if d.Schemas[i].Name == name {
			return &d.Schemas[i]
		}
	}
	return nil
}
