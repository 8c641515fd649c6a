package main

import (
	"fmt"
	"strings"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// unusedColumns are the columns of a file that gave nothing, each with the reason where its name has been looked at.
func unusedColumns(r *ingest.Report) []string {
	var out []string
	for _, c := range r.Columns {
		if c.Quantity != "" {
			continue
		}
		name := c.Name
		if name == "" {
			name = fmt.Sprintf("column %d", c.Number)
		}
		if why := strings.TrimPrefix(c.How, "not used: "); why != "" && why != "nothing known in its name" {
			name += " (" + why + ")"
		}
		out = append(out, name)
	}
	return out
}

// offsetWords tells a clock's offset from UTC.
func offsetWords(seconds int64) string {
	if seconds == 0 {
		return "UTC"
	}
	sign := '+'
	if seconds < 0 {
		sign, seconds = '-', -seconds
	}
	return fmt.Sprintf("UTC%c%02d:%02d", sign, seconds/3600, seconds/60%60)
}

// reading tells how a log was understood: file, clock, columns, what was assumed, and the rows that are not used.
func (p *printer) reading(r *recordRead) {
	p.columnsRead(r)
	notUsed := r.report.Rows - r.report.Kept
	if r.report.LeftOut > 0 || notUsed > 0 {
		p.line("  %s in the file, %d used", counted(r.report.Rows, "row", "rows"), r.report.Kept)
	}
	if r.report.LeftOut > 0 {
		p.line("  %s left out, as asked by %s", counted(r.report.LeftOut, "row", "rows"), r.words("option only"))
	}
	printTrouble(p, r)
	if n := r.report.ProblemCounts[ingest.ProblemDuplicate] + r.report.ProblemCounts[ingest.ProblemConflict]; n > 0 {
		p.line("  %s in the file twice; the first is used", counted(n, "row is", "rows are"))
	}
}

// counted is a number with its noun.
func counted(n int64, one, several string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, several)
}

// speedOf is the wind's channel that a log's curve is made from, nearest the hub where its height is given.
func speedOf(r *recordRead, hubHeightM float64) int {
	if hubHeightM == 0 {
		hubHeightM = nan
	}
	return r.series.Find(resource.Speed, hubHeightM)
}
