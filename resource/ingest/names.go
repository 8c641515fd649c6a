package ingest

import "strings"

// headerReach is how many lines above the first data row the column names are looked for.
const headerReach = 10

// findHeader finds the row of names above the first data row, and rows of units and of statistics between them.
func (sh *sheet) findHeader(cut []headLine, first int, o *Options) {
	sh.names, sh.units = make([]string, sh.fields), make([]string, sh.fields)
	if o.HeaderLine < 0 {
		return
	}
	best, bestScore, reach := -1, 0, headerReach
	if o.HeaderLine > 0 {
		reach = first
	}
	for i := first - 1; i >= 0 && i >= first-reach; i-- {
		score := nameScore(&cut[i], sh.fields)
		if o.HeaderLine > 0 {
			if score = 0; cut[i].no == o.HeaderLine {
				score = 1
			}
		}
		if score > bestScore {
			best, bestScore = i, score
		}
	}
	if best < 0 {
		return
	}
	sh.headerLine = cut[best].no
	copy(sh.names, cut[best].fields)
	for i := best + 1; i < first; i++ {
		if !sh.unitRow(&cut[i]) && !sh.statisticRow(&cut[i]) && !cut[i].comment && len(cut[i].fields) > 0 {
			sh.stray = append(sh.stray, cut[i].no)
		}
	}
}

// nameScore says how much a line looks like column names: recognised names count double, other words once, if the line
// is about as wide as the table; numbers and bare units count against it.
func nameScore(l *headLine, width int) int {
	n := len(l.fields)
	if n < 2 || n < width/2 || n > width+1 {
		return 0
	}
	score := 0
	for i, name := range l.fields {
		_, isUnit := unitNamed(name)
		switch {
		case l.kinds[i] == numberField || l.kinds[i] == stampField || isUnit && len(name) > 1:
			score -= 2
		case name == "":
		default:
			score++
			if c := describe(name, ""); c.measured() || c.role != "" {
				score++
			}
		}
	}
	if n == width {
		score++
	}
	return score
}

// unitRow takes a line that holds units, if it does.
func (sh *sheet) unitRow(l *headLine) bool {
	found := 0
	for i, f := range l.fields {
		if i >= sh.fields {
			break
		}
		if _, ok := unitNamed(strings.Trim(f, "()[]")); ok {
			found++
		}
	}
	if found == 0 {
		return false
	}
	for i, f := range l.fields[:min(len(l.fields), sh.fields)] {
		sh.units[i] = strings.Trim(f, "()[]")
	}
	return true
}

// statisticRow takes a line that says mean, max and so on, if it does, and adds the words to the names.
func (sh *sheet) statisticRow(l *headLine) bool {
	const statistic = meansMean | meansDeviation | meansMax | meansMin
	found := false
	for i, f := range l.fields {
		if m := vocabulary[strings.ToLower(f)]; m&statistic != 0 && i < sh.fields {
			found = true
			if words := splitWords(sh.names[i]); len(words) == 0 || vocabulary[words[len(words)-1].text]&statistic == 0 {
				sh.names[i] += " " + f
			}
		}
	}
	return found
}

// name is what a column is called in reports.
func (sh *sheet) name(i int) string {
	if i >= 0 && i < len(sh.names) && sh.names[i] != "" {
		return sh.names[i]
	}
	return "column " + itoa(i+1)
}
