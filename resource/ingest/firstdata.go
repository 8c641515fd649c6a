package ingest

// findData is the index of the first data row: one that looks, column by column, as most rows do.
func (sh *sheet) findData(cut []headLine, o *Options) int {
	from := 0
	for from < len(cut) && cut[from].no <= o.HeaderLine {
		from++
	}
	usual := usualKinds(cut[from:], sh.fields)
	for i := from; i < len(cut); i++ {
		l := &cut[i]
		if l.comment || len(l.fields) != sh.fields {
			continue
		}
		same, data, told := 0, 0, 0
		for f, k := range l.kinds {
			if k == emptyField || usual[f] == emptyField {
				continue
			}
			told++
			if k == usual[f] {
				same++
				if k != textField {
					data++
				}
			}
		}
		if data > 0 && 3*same >= 2*told {
			return sh.firstAbove(cut, i, from, usual)
		}
	}
	return -1
}

// firstAbove goes up from a data row over rows that have stamps or numbers where most rows have them: a sensor that
// wrote words at first, for hundreds of rows perhaps, does not make them less than rows.
func (sh *sheet) firstAbove(cut []headLine, first, from int, usual []fieldKind) int {
	for i := first - 1; i >= from; i-- {
		l := &cut[i]
		if len(l.fields) == 0 {
			continue
		}
		if l.comment || len(l.fields) != sh.fields {
			break
		}
		stamps, numbers, wantStamps, wantNumbers := 0, 0, 0, 0
		for f, k := range l.kinds {
			switch usual[f] {
			case stampField:
				wantStamps++
				if k == stampField {
					stamps++
				}
			case numberField:
				wantNumbers++
				if k == numberField {
					numbers++
				}
			}
		}
		if wantStamps > 0 && stamps == wantStamps || wantStamps == 0 && numbers > 0 && 2*numbers >= wantNumbers {
			first = i
			continue
		}
		break
	}
	return first
}

// usualKinds is what each column holds in the later half of the rows. A third of stamps or numbers is enough: names, and
// what is broken, are text.
func usualKinds(cut []headLine, width int) []fieldKind {
	var rows []*headLine
	for i := range cut {
		if len(cut[i].fields) == width && !cut[i].comment {
			rows = append(rows, &cut[i])
		}
	}
	counts := make([][4]int, width)
	for _, l := range rows[len(rows)/2:] {
		for f, k := range l.kinds {
			counts[f][k]++
		}
	}
	usual := make([]fieldKind, width)
	for f := range usual {
		c := &counts[f]
		told := c[stampField] + c[numberField] + c[textField]
		switch {
		case told == 0:
		case 3*c[stampField] >= told:
			usual[f] = stampField
		case 3*c[numberField] >= told:
			usual[f] = numberField
		default:
			usual[f] = textField
		}
	}
	return usual
}
