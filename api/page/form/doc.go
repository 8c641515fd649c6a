// Package form is the guided page's form: what a person typed, as it was typed, and the request document it stands for.
//
// The name of a field is its place in the document, such as site.obstacles[1].height_m, so that a fault the document's own checks
// find has its field at once, told in the form's units and words. Next to nothing is checked here: a number that is none goes into the
// document as text, and is refused there.
// The document is in SI units and shares; the fields are in the units chosen, and in per cent.
package form
