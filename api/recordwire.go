package api

import (
	"encoding/json"
	"fmt"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
)

func wireRecord(r *storage.Record) (openapi.Record, error) {
	sum, err := wireRecordSummary(r)
	out := openapi.Record{
		ID: sum.ID, Name: sum.Name, Format: sum.Format, Rows: sum.Rows, First: sum.First, Last: sum.Last, StepS: sum.StepS,
		UTCOffsetS: sum.UTCOffsetS, Kind: openapi.RecordKind(sum.Kind), Place: sum.Place, Channels: sum.Channels,
		Attribution: sum.Attribution, ContentHash: sum.ContentHash, CreatedAt: sum.CreatedAt,
	}
	if err != nil {
		return out, err
	}
	if err := json.Unmarshal(r.Report, &out.Import); err != nil {
		return out, fmt.Errorf("the stored report of record %s: %w", r.ID, err)
	}
	if err := json.Unmarshal(r.Statistics, &out.Statistics); err != nil {
		return out, fmt.Errorf("the stored statistics of record %s: %w", r.ID, err)
	}
	return out, nil
}

func wireRecordSummary(r *storage.Record) (openapi.RecordSummary, error) {
	out := openapi.RecordSummary{ID: r.ID, Name: r.Name, Format: r.SourceFormat, Rows: r.Rows, First: document.Time(r.FirstUnix),
		Last: document.Time(r.LastUnix), ContentHash: r.ContentHash, CreatedAt: r.CreatedAt.UTC()}
	meta, err := storage.DecodeMeta(r.Meta)
	if err != nil {
		return out, fmt.Errorf("the stored description of record %s: %w", r.ID, err)
	}
	out.StepS, out.UTCOffsetS, out.Attribution = meta.StepS, meta.UTCOffsetS, meta.Attribution
	out.Kind = kindNames[meta.Kind]
	if p := meta.Place; p != nil {
		out.Place = &openapi.Place{Longitude: p.Point.Lon(), Latitude: p.Point.Lat(), ElevationM: document.OrNull(p.ElevationM)}
	}
	out.Channels = make([]openapi.Channel, len(meta.Channels))
	for i, c := range meta.Channels {
		out.Channels[i] = openapi.Channel{Name: c.Name, Quantity: c.Quantity.String(), HeightM: document.OrNull(c.HeightM), Unit: units[c.Quantity]}
	}
	return out, nil
}

var kindNames = map[resource.Kind]openapi.RecordSummaryKind{
	resource.Measured: "measured", resource.TypicalYear: "typical_year", resource.Daily: "daily",
}

// units are what values are kept and given in, whatever the file had.
var units = map[resource.Quantity]string{
	resource.Speed: "m/s", resource.SpeedSD: "m/s", resource.Gust: "m/s", resource.Direction: "deg", resource.Temperature: "°C",
	resource.Pressure: "Pa", resource.Humidity: "1", resource.GlobalHorizontal: "W/m²", resource.DirectNormal: "W/m²",
	resource.DiffuseHorizontal: "W/m²", resource.Power: "W", resource.Voltage: "V", resource.Current: "A", resource.ShaftSpeed: "rpm",
}
