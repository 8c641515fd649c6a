package rotor

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MaxPolarBytes bounds the text of a table of lift and drag.
const MaxPolarBytes = 1 << 20

// columns says where in a line angle, lift and drag stand.
type columns struct {
	alpha, cl, cd int
	radians       bool
}

var columnNames = map[string]string{
	"alpha_deg": "alpha", "alpha": "alpha", "alfa": "alpha", "aoa": "alpha", "aoa_deg": "alpha", "angle": "alpha", "angle_of_attack": "alpha",
	"alpha_rad": "radians", "aoa_rad": "radians", "cl": "cl", "c_l": "cl", "lift": "cl", "cd": "cd", "c_d": "cd", "drag": "cd",
}

// ParsePolar reads a section from text with one angle of attack a line, in columns parted by commas, semicolons, tabs or
// spaces. A line of names (alpha_deg or alpha_rad, cl, cd, in any order and with others between) may head them; without
// one, the first three are angle in degrees, lift and drag. Numbers may have a decimal comma where commas part nothing.
// Empty lines and those that begin with #, !, %, * or // are passed over, and so is any text above the names. The Reynolds
// number is the table's own, NaN or 0 when not known. Every fault is a *PolarError with its line; see NewPolar for the
// rest.
func ParsePolar(text []byte, reynolds float64) (*Polar, error) {
	if len(text) > MaxPolarBytes {
		return nil, &PolarError{0, "", fmt.Sprintf("the text is longer than %d bytes; a table of lift and drag has no more than %d lines",
			MaxPolarBytes, MaxPolarPoints)}
	}
	body := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(string(text), "\ufeff"))
	var points []PolarPoint
	var lines []int
	var where *columns
	var loose int // first line that was neither numbers nor names
	for i, line := range strings.Split(body, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || strings.ContainsRune("#!%*", rune(line[0])) || strings.HasPrefix(line, "//") || strings.Trim(line, "-= \t") == "" {
			continue
		}
		cells := split(line)
		if where == nil || len(points) == 0 {
			if named, ok := header(cells); ok {
				where, loose = &named, 0
				continue
			}
			if _, err := decimal(cells[0]); err != nil && where == nil {
				if loose == 0 {
					loose = i + 1
				}
				continue
			}
			if where == nil {
				where = &columns{0, 1, 2, false}
			}
		}
		point, err := where.read(cells, i+1)
		if err != nil {
			return nil, err
		}
		points, lines = append(points, point), append(lines, i+1)
		if len(points) > MaxPolarPoints {
			return nil, &PolarError{i + 1, "", fmt.Sprintf("a table of lift and drag has no more than %d lines", MaxPolarPoints)}
		}
	}
	if len(points) == 0 && loose > 0 {
		return nil, &PolarError{loose, "", "no numbers and no names of columns are found from here on; head the table with alpha_deg, cl, cd"}
	}
	return polarOfLines(points, lines, reynolds)
}

// read takes one line of numbers.
func (c columns) read(cells []string, line int) (PolarPoint, error) {
	var values [3]float64
	for k, at := range [3]int{c.alpha, c.cl, c.cd} {
		name := [3]string{"alpha_deg", "cl", "cd"}[k]
		if at >= len(cells) || cells[at] == "" {
			return PolarPoint{}, &PolarError{line, name, fmt.Sprintf("nothing stands in column %d; each line needs angle, lift and drag", at+1)}
		}
		v, err := decimal(cells[at])
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return PolarPoint{}, &PolarError{line, name, fmt.Sprintf("%.40q is not a number; write it like 0.85, or leave the line out", cells[at])}
		}
		values[k] = v
	}
	if c.radians {
		values[0] *= 180 / math.Pi
		if over := math.Abs(values[0]) - 180; over > 0 && over < 1e-3 {
			values[0] = math.Copysign(180, values[0]) // 3.1416 is meant for π
		}
	}
	return PolarPoint{values[0], values[1], values[2]}, nil
}

// header finds the columns in a line of names.
func header(cells []string) (columns, bool) {
	c := columns{-1, -1, -1, false}
	for i, cell := range cells {
		name := strings.ToLower(strings.Trim(strings.TrimSpace(cell), `"'`))
		name = strings.NewReplacer("(", "_", "[", "_", ")", "", "]", "", " ", "_", "°", "deg").Replace(name)
		name = strings.ReplaceAll(name, "__", "_")
		at := &c.cd
		switch columnNames[name] {
		case "alpha":
			at = &c.alpha
		case "radians":
			at, c.radians = &c.alpha, true
		case "cl":
			at = &c.cl
		case "cd":
		default:
			continue
		}
		if *at < 0 {
			*at = i
		}
	}
	return c, c.alpha >= 0 && c.cl >= 0 && c.cd >= 0
}

// split cuts a line where its separators are: semicolons and tabs before commas, since a comma may be a decimal one beside
// them, and spaces last.
func split(line string) []string {
	for _, by := range []string{";", "\t", ","} {
		if !strings.Contains(line, by) {
			continue
		}
		if by == "," && decimalCommas(line) {
			break
		}
		cells := strings.Split(line, by)
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		return cells
	}
	return strings.Fields(line)
}

// decimalCommas tells "5,0 0,61 0,012" from "5.0, 0.61, 0.012": no comma touches a space, and spaces part three numbers.
func decimalCommas(line string) bool {
	fields := strings.Fields(line)
	if len(fields) < 3 {
		return false
	}
	for _, f := range fields {
		if strings.HasPrefix(f, ",") || strings.HasSuffix(f, ",") || strings.Count(f, ",") > 1 {
			return false
		}
	}
	return true
}

func decimal(cell string) (float64, error) {
	cell = strings.Trim(cell, `"'`)
	cell = strings.Replace(cell, "−", "-", 1)
	if strings.Count(cell, ",") == 1 && !strings.Contains(cell, ".") {
		cell = strings.Replace(cell, ",", ".", 1)
	}
	return strconv.ParseFloat(cell, 64)
}
