package ingest

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"mastworth/resource"
)

// writtenNames are the column names that WriteCSV uses and Read understands.
var writtenNames = map[resource.Quantity]string{
	resource.Speed: "wind speed", resource.SpeedSD: "wind speed sd", resource.Gust: "wind gust", resource.Direction: "wind direction",
	resource.Temperature: "temperature", resource.Pressure: "pressure", resource.Humidity: "humidity",
	resource.GlobalHorizontal: "global horizontal", resource.DirectNormal: "direct normal", resource.DiffuseHorizontal: "diffuse horizontal",
	resource.Power: "power", resource.Voltage: "voltage", resource.Current: "current", resource.ShaftSpeed: "rpm",
}

// WriteCSV writes a record as a logger CSV that Read reads back as it was: stamps in the record's local standard time
// with their offset from UTC, marking the beginning of the step; each value in its quantity's unit with as many digits
// as it takes; missing values empty. Flags, place and attribution are not in it.
func WriteCSV(w io.Writer, s *resource.Series) error {
	b := bufio.NewWriterSize(w, 64<<10)
	b.WriteString("time begin")
	for i := range s.Channels {
		c := &s.Channels[i]
		b.WriteString("," + writtenNames[c.Quantity])
		if !math.IsNaN(c.HeightM) {
			b.WriteString(" " + strconv.FormatFloat(c.HeightM, 'f', -1, 64) + " m")
		}
		b.WriteString(" (" + baseUnit(c.Quantity).name + ")")
	}
	b.WriteByte('\n')
	zone := strings.TrimPrefix(offsetWords(s.UTCOffsetS), "UTC")
	var row []byte
	for i, t := range s.Times {
		row = append(row[:0], clockText(t+s.UTCOffsetS)...)
		row = append(row, zone...)
		for c := range s.Channels {
			row = append(row, ',')
			if v := s.Channels[c].Values[i]; !math.IsNaN(v) {
				row = strconv.AppendFloat(row, v, 'g', -1, 64)
			}
		}
		row = append(row, '\n')
		if _, err := b.Write(row); err != nil {
			return fmt.Errorf("writing the record: %w", err)
		}
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing the record: %w", err)
	}
	return nil
}
