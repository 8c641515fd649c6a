// Package document moves the two documents between the wire and the domain: the estimate request comes in as YAML or JSON,
// the estimate goes out as JSON or YAML. The command line and the service share it, so both read and write the same thing.
//
// Reading is strict. Both syntaxes become one small tree that knows the line and column of everything in it, and the tree
// is bound to the request type: unknown and repeated fields, wrong types, missing fields and numbers that are not finite are
// all reported, each with its place. What the type alone cannot say (exactly one wind, array lengths, patterns) is checked
// next. Ranges and physics are the domain's: see assess.Check.
package document
