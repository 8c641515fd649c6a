// Package ingest reads wind records: bytes in, a resource.Series and a report of how they were understood out.
//
// One file reads one format. Each turns raw rows into the columns of a table (a lexer or a fixed layout), and the table
// into a Series; the table's time axis is put in order in one place for all of them. Read sniffs the content and hands
// it to the reader in charge; to add a format, write its reader and add a line to the table in read.go.
//
// What a reader cannot make sense of is never dropped without a word. It is a Problem in the Report, with line and
// column, or, when nothing usable is left, a *ReadError that names the reason and a remedy. What a reader had to assume
// (a time zone the file does not state, a unit that is not in the header) is in Report.Assumptions, each with the option
// that settles it.
//
// Readers change units to those of resource.Quantity and the stamps to the beginning of the averaging step. They judge
// no values: a wind of 400 m/s comes through for resource.Screen to flag.
package ingest
