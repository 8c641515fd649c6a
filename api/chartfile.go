package api

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
)

// chartFormats are the ends of a chart's file name, and what they mean.
var chartFormats = map[string]string{"svg": "image/svg+xml", "png": "image/png", "csv": csvType + "; charset=utf-8"}

// chartQuery are the query parameters of every chart's file.
var chartQuery = map[string]parameter{
	"dark": {is: checkWord("true", "false")}, "bare": {is: checkWord("true", "false")}, "width": {is: checkWhole(280, 1000)}, "height": {is: checkWhole(180, 1000)},
	"scale": {is: checkWhole(1, 4)},
}

// withChartQuery adds those of one chart alone.
func withChartQuery(own map[string]parameter) map[string]parameter {
	for name, p := range chartQuery {
		own[name] = p
	}
	return own
}

// splitChartFile takes a chart's file name apart; ok is false where it is none.
func splitChartFile(file string) (name, format string, ok bool) {
	name, format, ok = strings.Cut(file, ".")
	return name, format, ok && name != "" && chartFormats[format] != ""
}

// noSuchChart says that a thing has no chart of that file name, and which it has.
func noSuchChart(names ...string) *problem {
	if len(names) == 0 {
		return notFound("there is nothing to draw of this").at("path.file", "is no chart of this")
	}
	return notFound("there is no such chart; there are %s, each as .svg, .png and .csv", strings.Join(names, ", ")).
		at("path.file", "must be the name of a chart with .svg, .png or .csv behind it")
}

// sendChart writes a chart in a format of chartFormats. The tag names all that the chart is made of but its looks; make is called
// where the client has not the same already.
func (s *service) sendChart(c *gin.Context, tag, format string, make func() (chart.Chart, error)) error {
	return s.sendChartKept(c, private, tag, format, make)
}

// sendChartKept is sendChart with a word on who may keep it.
func (s *service) sendChartKept(c *gin.Context, kept []string, tag, format string, make func() (chart.Chart, error)) error {
	o, looks := chartLooks(c)
	etag := hashTag("chart", s.looks, tag, format, looks)
	given := c.GetHeader("If-None-Match")
	if given != "" && matches(&given, etag) {
		return notModified{etag}.send(&keeping{c.Writer, kept})
	}
	drawn, err := make()
	if err != nil {
		return err
	}
	buf := newBuffer()
	defer freeBuffer(buf)
	if err := writeChart(buf, &drawn, format, o); err != nil {
		return err
	}
	h := c.Writer.Header()
	tagged(h, etag)
	h["Cache-Control"] = kept
	h.Set("Content-Type", chartFormats[format])
	if format == "csv" {
		h.Set("Content-Disposition", `attachment; filename="`+drawn.Name+`.csv"`)
	}
	if _, err := c.Writer.Write(buf.Bytes()); err != nil {
		s.unanswered(c, err)
	}
	return nil
}

func writeChart(w *bytes.Buffer, drawn *chart.Chart, format string, o chart.Options) error {
	switch format {
	case "png":
		return drawn.PNG(w, o)
	case "csv":
		return drawn.CSV(w)
	}
	o.Scale = 0
	return drawn.SVG(w, o)
}

// chartLooks are the looks the query asks for, which the parameters' check has seen, and the same as text.
func chartLooks(c *gin.Context) (o chart.Options, looks string) {
	o.Dark, o.Bare = c.Query("dark") == "true", c.Query("bare") == "true"
	o.Width, o.Height, o.Scale = wholeOr(c.Query("width"), 0), wholeOr(c.Query("height"), 0), wholeOr(c.Query("scale"), 0)
	return o, strings.Join([]string{c.Query("dark"), c.Query("bare"), c.Query("width"), c.Query("height"), c.Query("scale")}, " ")
}

// wholeOr is a whole number as text, or another where there is none.
func wholeOr(text string, other int) int {
	if n, err := strconv.Atoi(text); err == nil {
		return n
	}
	return other
}
