package storage

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/snappy"

	"mastworth/resource"
)

// timeColumn is the name of the stamps' column.
const timeColumn = "time"

// unitOf is the unit of a quantity's values, as a column name ends in it.
var unitOf = map[resource.Quantity]string{
	resource.Speed: "m_s", resource.SpeedSD: "m_s", resource.Gust: "m_s", resource.Direction: "deg",
	resource.Temperature: "degc", resource.Pressure: "pa", resource.Humidity: "share",
	resource.GlobalHorizontal: "w_m2", resource.DirectNormal: "w_m2", resource.DiffuseHorizontal: "w_m2",
	resource.Power: "w", resource.Voltage: "v", resource.Current: "a", resource.ShaftSpeed: "rpm",
}

// columnNames names the channels' columns for people and dataframes: quantity, height and unit, as in "speed_10m_m_s".
// Where two would be called the same, the later ones are numbered.
func columnNames(channels []resource.Channel) []string {
	names := make([]string, len(channels))
	for i := range channels {
		c := &channels[i]
		parts := []string{c.Quantity.String()}
		if h := c.HeightM; h == h {
			parts = append(parts, strings.ReplaceAll(strconv.FormatFloat(h, 'f', -1, 64), ".", "p")+"m")
		}
		parts = append(parts, unitOf[c.Quantity])
		name := strings.Join(parts, "_")
		for n, base := 2, name; slices.Contains(names[:i], name); n++ {
			name = base + "_" + strconv.Itoa(n)
		}
		names[i] = name
	}
	return names
}

// flagsOf is the name of a channel's column of flags.
func flagsOf(name string) string { return name + "_flags" }

// layout is the Parquet schema of a record and where each channel stands in it: Parquet sorts columns by name.
type layout struct {
	schema *parquet.Schema
	time   int
	values []int // column of each channel
	flags  []int // column of each channel's flags, −1 where it has none
}

var codec = &snappy.Codec{}

// newLayout lays out blocks or, with nulls for missing values, the file that is handed out: blocks keep a missing value as
// NaN, which costs no levels and is written and read in whole columns.
func newLayout(channels []resource.Channel, nulls bool) layout {
	names := columnNames(channels)
	value := func() parquet.Node {
		node := parquet.Leaf(parquet.DoubleType)
		if nulls {
			node = parquet.Optional(node)
		}
		return parquet.Compressed(parquet.Encoded(node, &parquet.Plain), codec)
	}
	group := parquet.Group{timeColumn: parquet.Compressed(parquet.Encoded(parquet.Timestamp(parquet.Millisecond),
		&parquet.DeltaBinaryPacked), codec)}
	for i, name := range names {
		group[name] = value()
		if channels[i].Flags != nil {
			group[flagsOf(name)] = parquet.Compressed(parquet.Encoded(parquet.Int(32), &parquet.Plain), codec)
		}
	}
	l := layout{schema: parquet.NewSchema("record", group), values: make([]int, len(channels)), flags: make([]int, len(channels))}
	column := func(name string) int {
		leaf, ok := l.schema.Lookup(name)
		if !ok {
			panic("storage: a column is missing from its own schema")
		}
		return leaf.ColumnIndex
	}
	l.time = column(timeColumn)
	for i, name := range names {
		l.values[i], l.flags[i] = column(name), -1
		if channels[i].Flags != nil {
			l.flags[i] = column(flagsOf(name))
		}
	}
	return l
}

// describe is a short text about a block, for errors.
func describe(month string) string { return fmt.Sprintf("block %s", month) }
