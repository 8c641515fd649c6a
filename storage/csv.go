package storage

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"time"

	"mastworth/resource"
)

// WriteCSV writes a series as CSV: a line of names that end in units, then a row a stamp. Stamps are the beginnings of the
// steps in UTC (RFC 3339); a missing value is empty; a channel with flags has a column of them beside it.
func WriteCSV(w io.Writer, s *resource.Series) error {
	out := bufio.NewWriterSize(w, 1<<16)
	row := append(make([]byte, 0, 512), timeColumn...)
	for i, name := range columnNames(s.Channels) {
		row = append(append(row, ','), name...)
		if s.Channels[i].Flags != nil {
			row = append(append(row, ','), flagsOf(name)...)
		}
	}
	row = append(row, '\n')
	for i := 0; ; i++ {
		if _, err := out.Write(row); err != nil {
			return fmt.Errorf("storage: writing CSV: %w", err)
		}
		if i == s.Len() {
			break
		}
		row = time.Unix(s.Times[i], 0).UTC().AppendFormat(row[:0], time.RFC3339)
		for k := range s.Channels {
			c := &s.Channels[k]
			row = append(row, ',')
			if v := c.Values[i]; v == v {
				row = strconv.AppendFloat(row, v, 'g', -1, 64)
			}
			if c.Flags != nil {
				row = strconv.AppendUint(append(row, ','), uint64(c.Flags[i]), 10)
			}
		}
		row = append(row, '\n')
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("storage: writing CSV: %w", err)
	}
	return nil
}
