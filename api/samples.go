package api

import (
	"context"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/storage"
)

const (
	csvType     = "text/csv"
	parquetType = "application/vnd.apache.parquet"
)

// DownloadSamples answers a record's samples, with what screening says of them.
func (s *service) DownloadSamples(ctx context.Context, r openapi.DownloadSamplesRequestObject) (openapi.DownloadSamplesResponseObject, error) {
	format, err := sampleFormat(ctx, r.Params.Format)
	if err != nil {
		return nil, err
	}
	ctx = requestContext(ctx)
	rec, err := s.record(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	etag := hashTag("samples", document.Methods, format, rec.ContentHash)
	if matches(r.Params.IfNoneMatch, etag) {
		return notModified{etag}, nil
	}
	series, err := s.decoded(ctx, rec.ID)
	if err != nil {
		return nil, stored(err)
	}
	return sampleStream{series: series, media: format, etag: etag, name: rec.ID + suffixes[format]}, nil
}

// decoded is a record's series, for which it waits its turn where it is not in memory.
func (s *service) decoded(ctx context.Context, id string) (*resource.Series, error) {
	if have := s.records.get(id); have != nil {
		return have, nil
	}
	done, err := s.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	return s.series(ctx, id)
}

var suffixes = map[string]string{csvType: ".csv", parquetType: ".parquet"}

// sampleFormat is the media type asked for: by parameter, else by the Accept header, else CSV.
func sampleFormat(ctx context.Context, asked *openapi.DownloadSamplesParamsFormat) (string, error) {
	if asked != nil {
		if *asked == openapi.DownloadSamplesParamsFormatParquet {
			return parquetType, nil
		}
		return csvType, nil
	}
	accept := ""
	if c, ok := ctx.(*gin.Context); ok { // as which the generated server passes it
		accept = strings.Join(c.Request.Header["Accept"], ",")
	}
	if format := accepted(accept, csvType, parquetType); format != "" {
		return format, nil
	}
	return "", newProblem(notAcceptable, "samples are text/csv or application/vnd.apache.parquet").
		at("header.Accept", "names neither text/csv nor application/vnd.apache.parquet; leave it out or ask by ?format=")
}

// accepted is the media type an Accept header (RFC 9110, 12.5.1) likes best, the first of them in doubt, or "".
func accepted(header string, offers ...string) string {
	if strings.TrimSpace(header) == "" {
		return offers[0]
	}
	best, most := "", 0.0
	for _, offer := range offers {
		if q := quality(header, offer); q > most {
			best, most = offer, q
		}
	}
	return best
}

// quality is how much an Accept header wants a media type: what its most specific range says.
func quality(header, media string) float64 {
	q, specific := 0.0, -1
	major, _, _ := strings.Cut(media, "/")
	for _, part := range strings.Split(header, ",") {
		name, params, err := mime.ParseMediaType(part)
		if err != nil {
			continue
		}
		rank := -1
		switch name {
		case media:
			rank = 2
		case major + "/*":
			rank = 1
		case "*/*":
			rank = 0
		}
		if rank <= specific {
			continue
		}
		specific, q = rank, 1
		if text, ok := params["q"]; ok {
			if q, err = strconv.ParseFloat(text, 64); err != nil {
				q = 0
			}
		}
	}
	return q
}

// sampleStream is samples on their way out.
type sampleStream struct {
	series            *resource.Series
	media, etag, name string
}

// VisitDownloadSamplesResponse writes the samples as they are encoded.
func (a sampleStream) VisitDownloadSamplesResponse(w http.ResponseWriter) error {
	h := w.Header()
	h.Set("Content-Type", a.media)
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": a.name}))
	h.Add("Vary", "Accept")
	tagged(h, a.etag)
	if a.media == parquetType {
		return storage.WriteParquet(w, a.series)
	}
	return storage.WriteCSV(w, a.series)
}

func (n notModified) VisitDownloadSamplesResponse(w http.ResponseWriter) error { return n.send(w) }
