package api

import (
	"context"
	"errors"
	"io"
	"net/http"
	"regexp"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"mastworth/api/chart"
	"mastworth/api/page"
	"mastworth/api/page/form"
	"mastworth/openapi"
	"mastworth/storage"
	"mastworth/yield/harvest"
)

// harvestRoutes are the pages about promise and harvest.
func (s *service) harvestRoutes(e *gin.Engine) {
	e.GET("/sites/:id/harvest", s.paged(s.readHarvestPage))
	e.POST("/sites/:id/harvest", s.paged(s.changeHarvest))
	e.GET("/sites/:id/harvest/:file", s.paged(s.readHarvestChart))
}

// harvestQuery is what a page asks of the comparison; an empty field is none.
var harvestQuery = map[string]parameter{"hub_height_m": {is: orEmptyField(checkNumber(0.1, 300))}, "record": {is: orEmptyField(checkID)}}

func (s *service) readHarvestPage(c *gin.Context) error {
	return s.showHarvest(c, http.StatusOK, page.HarvestForm{})
}

// askHarvestOf is askHarvest of a page's query.
func (s *service) askHarvestOf(c *gin.Context) (*harvestAsked, error) {
	var hub *float64
	var record *string
	if v, err := strconv.ParseFloat(c.Query("hub_height_m"), 64); err == nil {
		hub = &v
	}
	if id := c.Query("record"); id != "" {
		record = &id
	}
	return s.askHarvest(c.Request.Context(), c.Param("id"), hub, record)
}

// showHarvest shows the comparison and its forms.
func (s *service) showHarvest(c *gin.Context, status int, form page.HarvestForm) error {
	ctx := c.Request.Context()
	asked, err := s.askHarvestOf(c)
	if err != nil {
		return err
	}
	h, err := s.harvest(ctx, asked)
	if err != nil {
		return err
	}
	query := page.HarvestQuery(c.Query("hub_height_m"), c.Query("record"))
	p, err := page.NewHarvest(asked.site.ID, asked.site.Name, h, query, unitsOf(c))
	if err != nil {
		return err
	}
	p.Form = form
	p.Here = "/sites/" + asked.site.ID + "/harvest" + query
	if err := s.harvestReadings(ctx, asked, &p, c); err != nil {
		return err
	}
	if err := s.harvestChoices(c, asked, h, &p); err != nil {
		return err
	}
	f := &page.Frame{Title: page.Text("harvest.heading", p.Site), Here: "sites", JSON: "/v1/sites/" + asked.site.ID + "/harvest" + query, Page: p}
	offerUnits(c, f)
	return s.showWith(c, status, "harvest", f)
}

// readingsOnPage is how many readings a page lists; 50 weigh some 25 kB.
const readingsOnPage = 50

func (s *service) harvestReadings(ctx context.Context, a *harvestAsked, p *page.Harvest, c *gin.Context) error {
	list, err := s.readingList(ctx, a.site.ID, listPage{limit: readingsOnPage, after: c.Query("after")})
	if err != nil {
		return err
	}
	offset, err := s.siteOffset(&a.site)
	if err != nil {
		return err
	}
	for i := range list.Readings {
		p.Readings = append(p.Readings, page.NewReadingRow(&list.Readings[i], offset))
	}
	if list.Next != nil {
		next := c.Request.URL.Query()
		next.Set("after", *list.Next)
		p.More = "/sites/" + a.site.ID + "/harvest?" + next.Encode() + "#readings"
	}
	return nil
}

// harvestChoices are the masts and the records to choose from.
func (s *service) harvestChoices(c *gin.Context, a *harvestAsked, h *openapi.Harvest, p *page.Harvest) error {
	request, err := siteRequest(&a.site)
	if err != nil {
		return err
	}
	p.Hubs = page.HubChoices(request.Towers, h.HubHeightM, unitsOf(c))
	records, older, err := s.recordChoices(c.Request.Context(), tellsWhen)
	if err != nil {
		return err
	}
	if chosen := c.Query("record"); len(records) > 0 || chosen != "" {
		own := page.Choice{Words: page.Text("harvest.record_own")}
		p.Records = page.Choose(append([]page.Choice{own}, records...), chosen)
	}
	if older {
		p.Older = page.Text("harvest.older", choicesListed)
	}
	return nil
}

// tellsWhen reports whether a record may tell how windy a time was: a typical year is of no time, and daily means are too coarse.
func tellsWhen(r *openapi.RecordSummary) bool { return r.Kind == openapi.RecordSummaryKindMeasured }

// readHarvestChart answers the chart as a file.
func (s *service) readHarvestChart(c *gin.Context) error {
	const name = "harvest"
	file, format, ok := splitChartFile(c.Param("file"))
	if !ok || file != name {
		return noSuchChart(name)
	}
	asked, err := s.askHarvestOf(c)
	if err != nil {
		return err
	}
	return s.sendChart(c, asked.etag, format, func() (chart.Chart, error) {
		h, err := s.harvest(c.Request.Context(), asked)
		if err != nil {
			return chart.Chart{}, err
		}
		return page.HarvestChart(h), nil
	})
}

// changeHarvest takes one of the page's forms.
func (s *service) changeHarvest(c *gin.Context) error {
	ctx := c.Request.Context()
	site, err := s.site(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	offset, err := s.siteOffset(&site)
	if err != nil {
		return err
	}
	here := "/sites/" + site.ID + "/harvest" + page.HarvestQuery(c.Query("hub_height_m"), c.Query("record"))
	if c.ContentType() == "multipart/form-data" {
		return s.addTable(c, &site, offset)
	}
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	if id := form.Get("delete"); id != "" {
		_, err := s.DeleteReading(ctx, openapi.DeleteReadingRequestObject{ID: site.ID, ReadingID: id})
		if err != nil {
			return err
		}
		return seeOther(c, here+"#readings")
	}
	f := page.HarvestForm{Kind: form.Get("kind"), Date: form.Get("date"), Hour: form.Get("hour"), From: form.Get("from"), KWh: form.Get("kwh"),
		Faults: map[string]string{}}
	r := readingOf(&f, offset)
	if len(f.Faults) == 0 {
		_, err = s.addReadings(ctx, &site, []harvest.Reading{r}, nil)
		var p *problem
		switch {
		case err == nil:
			return seeOther(c, here)
		case !errors.As(err, &p) || p.kind != invalidRequest:
			return err
		}
		f.Faults["date"] = page.Text("harvest.future")
		if r.AtUnix <= s.now().Unix() {
			f.Faults = map[string]string{"": p.errors[0].Detail}
		}
	}
	return s.showHarvest(c, http.StatusUnprocessableEntity, f)
}

// likeThousands finds numbers whose comma may part thousands as well as decimals: one of them would be wrong by a factor of a thousand.
var likeThousands = regexp.MustCompile(`^[1-9]\d{0,2},\d{3}$`)

// readingOf reads the form of one reading and notes what is wrong with it.
func readingOf(f *page.HarvestForm, offset int64) harvest.Reading {
	r := harvest.Reading{Meter: f.Kind != "energy"}
	number := strings.TrimSpace(f.KWh)
	v, fault := form.Number(number)
	switch r.KWh = v; {
	case likeThousands.MatchString(number):
		f.Faults["kwh"] = page.Text("harvest.which_comma", number)
	case number != "" && fault != "":
		f.Faults["kwh"] = fault
	case fault != "" || !(v >= 0 && v <= harvest.MostKWh):
		f.Faults["kwh"] = page.Text("harvest.bad_kwh")
	}
	day, ok := harvest.ParseStamp(f.Date, offset)
	if !ok || day.Fineness != harvest.ADay {
		f.Faults["date"] = page.Text("harvest.bad_date")
		return r
	}
	r.AtUnix = day.EndUnix
	if r.Meter {
		r.AtUnix = day.ReadAt()
	}
	if f.Hour != "" {
		at, ok := harvest.ParseStamp(strings.TrimSpace(f.Date)+" "+strings.TrimSpace(f.Hour), offset)
		if r.AtUnix = at.EndUnix; !ok {
			f.Faults["hour"] = page.Text("harvest.bad_hour")
		}
	}
	if !r.Meter && f.From != "" {
		from, ok := harvest.ParseStamp(f.From, offset)
		if r.FromUnix = from.BeginUnix; !ok || r.FromUnix >= r.AtUnix {
			f.Faults["from"] = page.Text("harvest.bad_from")
		}
	}
	return r
}

// addTable takes a file of readings.
func (s *service) addTable(c *gin.Context, site *storage.Site, offset int64) error {
	text, err := s.tableOf(c)
	if err != nil {
		return err
	}
	f := page.HarvestForm{}
	if len(text) == 0 {
		f.FileFaults = []string{page.Text("harvest.no_file")}
		return s.showHarvest(c, http.StatusUnprocessableEntity, f)
	}
	all, warnings, err := harvest.ReadCSV(text, offset)
	if err == nil {
		_, err = s.addReadings(c.Request.Context(), site, all, warnings)
	}
	if err == nil {
		return seeOther(c, "/sites/"+site.ID+"/harvest"+page.HarvestQuery(c.Query("hub_height_m"), c.Query("record")))
	}
	var faults harvest.Faults
	var p *problem
	switch {
	case errors.As(err, &faults):
		for _, one := range faults {
			f.FileFaults = append(f.FileFaults, one.Error())
		}
	case errors.As(err, &p) && p.kind == invalidRequest:
		for _, e := range p.errors {
			f.FileFaults = append(f.FileFaults, e.Detail)
		}
	default:
		return err
	}
	return s.showHarvest(c, http.StatusUnprocessableEntity, f)
}

// tableOf is the file of a page's form; nothing where none was chosen.
func (s *service) tableOf(c *gin.Context) ([]byte, error) {
	const around = 4 << 10 // what a form has around its file
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, s.MaxBodyBytes+around)
	form, err := c.Request.MultipartReader()
	if err != nil {
		return nil, newProblem(malformedBody, "the form cannot be read").at("body", "is no form")
	}
	for {
		part, err := nextPart(form)
		switch {
		case errors.Is(err, io.EOF):
			return nil, nil
		case err != nil:
			return nil, formError(err)
		case part.FormName() == "file":
			text, err := io.ReadAll(part)
			if err != nil {
				return nil, formError(err)
			}
			return text, nil
		}
	}
}
