package api

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"mastworth/api/document"
	"mastworth/api/page"
	"mastworth/api/page/form"
	"mastworth/openapi"
)

func (s *service) formRoutes(e *gin.Engine) {
	e.GET("/new", s.paged(s.readGuide))
	e.POST("/new", s.paged(s.guide))
	e.GET("/sites/:id/edit", s.paged(s.readEdit))
	e.POST("/sites/:id/edit", s.paged(s.guide))
}

// readGuide shows the guided page, empty or with an invented machine.
func (s *service) readGuide(c *gin.Context) error {
	v := &form.View{Form: form.New(), Action: "/new", Fresh: true}
	v.ChangeUnits(form.UnitsOf(unitsOf(c).Word()))
	if name := c.Query("example"); name != "" {
		if err := v.FillExample(name); err != nil {
			return err
		}
		v.Fresh = false
	}
	return s.showGuide(c, http.StatusOK, v)
}

// readEdit shows it filled from a saved site.
func (s *service) readEdit(c *gin.Context) error {
	site, err := s.site(requestContext(c), c.Param("id"))
	if err != nil {
		return err
	}
	f, err := form.FromDocument(site.Request, form.UnitsOf(unitsOf(c).Word()))
	if err != nil {
		return err
	}
	return s.showGuide(c, http.StatusOK, &form.View{Form: f, Action: "/sites/" + site.ID + "/edit", SiteID: site.ID, Version: strconv.FormatInt(site.Version, 10), Fresh: true})
}

// showGuide shows the page with what there is to choose from.
func (s *service) showGuide(c *gin.Context, status int, v *form.View) error {
	ctx := requestContext(c)
	var err error
	every := func(*openapi.RecordSummary) bool { return true }
	if v.Records, v.OlderRecords, err = s.recordChoices(ctx, every); err != nil {
		return err
	}
	if v.Curves, v.OlderCurves, err = s.curveChoices(ctx); err != nil {
		return err
	}
	if s.Fetch != nil {
		v.Sources = page.FetchSources()
	}
	for _, name := range form.Examples() {
		v.Examples = append(v.Examples, page.Choice{Value: name, Words: page.Text("form.example." + name), Chosen: name == v.Value("example")})
	}
	f := &page.Frame{Title: page.Text("form.title"), Here: "new", Scripts: []string{"form.js"}, Page: v}
	if key, may := s.mayWrite(c); !may {
		f.Scripts = nil // whose comforts send the form
		v.ReadOnly, v.SignIn = page.Text("form.read_only_nobody"), key == nil
		if key != nil {
			v.ReadOnly = page.Text("form.read_only", key.Name)
		}
	}
	if v.SiteID == "" {
		v.Written = "/new/document"
	} else {
		f.Here, f.JSON = "sites", "/v1/sites/"+v.SiteID
		f.Title = page.Text("form.edit_title", page.SiteTitle(v.Value("site.name")))
	}
	return s.showWith(c, status, "form", f)
}

// guide does what a button of the page asks for.
func (s *service) guide(c *gin.Context) error {
	sent, err := s.readGuideForm(c)
	if err != nil {
		return err
	}
	v := &form.View{Form: form.FromValues(sent.values), Action: c.Request.URL.Path, SiteID: c.Param("id"), Version: sent.values.Get(form.ControlVersion)}
	v.ChangeUnits(form.UnitsOf(sent.values.Get(form.ControlUnits)))
	if u, ok := page.UnitsOf(sent.values.Get(form.ControlUnits)); ok && u != unitsOf(c) {
		rememberUnits(c, u) // whoever types in feet reads in feet
	}
	if sent.record != "" {
		v.Choose("wind", "record")
		v.Set("wind.record.id", sent.record)
		v.Notices = append(v.Notices, page.Text("form.file_added", sent.recordName))
	}
	if sent.ignored {
		v.Notices = append(v.Notices, page.Text("form.file_ignored"))
	}
	for name, words := range sent.faults {
		v.Blame(name, words)
	}
	what, about, _ := strings.Cut(sent.values.Get(form.ControlDo), ":")
	switch {
	case s.pickPlace(v, sent):
	case what == "add":
		v.Add(about)
	case what == "look" && v.Blank("site.obstacles"):
		v.Notices = append(v.Notices, page.Text("form.nothing_to_draw"))
	case what == "remove":
		v.Remove(about)
	case what == "example":
		err = v.FillExample(sent.values.Get("example"))
		if err == nil {
			v.Notices = append(v.Notices, page.Text("form.example_filled", v.Value("turbine.name")))
		}
	case what == "file" && sent.record == "" && len(sent.faults) == 0:
		v.Blame("wind.file", page.Text("form.wind.no_file"))
	case what == "open":
		s.openDraft(v, sent)
	case what == "fetch":
		err = s.fetchFor(c, v)
	case what == "draft":
		return s.sendDraft(c, v)
	case what == "see" || what == "":
		return s.saveGuide(c, v)
	}
	if err != nil {
		return err
	}
	status := http.StatusOK
	if !v.Sound() {
		status = http.StatusUnprocessableEntity
	}
	return s.showGuide(c, status, v)
}

// pickPlace takes the place from where the drawn world was pointed at; false where it was not.
func (s *service) pickPlace(v *form.View, sent *guideForm) bool {
	for name, width := range map[string]int{"world": form.WorldWide, "world.narrow": form.WorldNarrow} {
		x, errX := strconv.Atoi(sent.values.Get(name + ".x"))
		y, errY := strconv.Atoi(sent.values.Get(name + ".y"))
		if errX != nil || errY != nil {
			continue
		}
		if v.Pick(x, y, width) {
			v.Notices = append(v.Notices, page.Text("form.picked", v.Value("site.latitude")+"°, "+v.Value("site.longitude")+"°"))
		} else {
			v.Notices = append(v.Notices, page.Text("form.not_picked"))
		}
		return true
	}
	return false
}

// openDraft fills the form from a file.
func (s *service) openDraft(v *form.View, sent *guideForm) {
	if len(sent.draft) == 0 {
		if len(sent.faults) == 0 {
			v.Blame("draft", page.Text("form.no_draft"))
		}
		return
	}
	if !utf8.Valid(sent.draft) || bytes.IndexByte(sent.draft, 0) >= 0 {
		v.Blame("draft", page.Text("form.draft_no_text")) // whose bytes are not for reading
		return
	}
	units := v.Units
	if bytes.HasPrefix(sent.draft, []byte(typedInFeet)) {
		units = form.Feet
	}
	text, err := document.AsJSON(sent.draft, document.Auto)
	if err == nil {
		var opened *form.Form
		if opened, err = form.FromDocument(text, units); err == nil {
			v.Form = opened
			v.Notices = append(v.Notices, page.Text("form.opened"))
			return
		}
	}
	v.Blame("draft", err.Error())
}

// typedInFeet begins a draft whose lengths and speeds were typed in feet and miles an hour, which a document cannot say but in a comment.
const typedInFeet = "# Typed in feet and mph; told in metres and m/s."

// sendDraft is the document as far as it goes, as a file.
func (s *service) sendDraft(c *gin.Context, v *form.View) error {
	d, err := v.Document()
	if err != nil {
		return err
	}
	var shown any = json.RawMessage(d.JSON)
	if whole, err := document.Decode(d.JSON, document.JSON); err == nil {
		shown = whole // in the contract's order
	}
	text, err := document.EncodeYAML(shown)
	if err != nil {
		return err
	}
	if v.Units == form.Feet {
		text = append([]byte(typedInFeet+"\n"), text...)
	}
	h := c.Writer.Header()
	h.Set("Content-Type", "application/yaml")
	h.Set("Content-Disposition", `attachment; filename="mastworth.yaml"`)
	h.Set("Content-Length", strconv.Itoa(len(text)))
	c.Writer.WriteHeader(http.StatusOK)
	if _, err := c.Writer.Write(text); err != nil {
		s.unanswered(c, err)
	}
	return nil
}

// fetchFor brings the public record that the form asks for and chooses it.
func (s *service) fetchFor(c *gin.Context, v *form.View) error {
	if s.Fetch == nil {
		return newProblem(fetchOff, "this service does not call out for public data")
	}
	asked := map[string][]string{"latitude": {v.Value("site.latitude")}, "longitude": {v.Value("site.longitude")}}
	for _, name := range form.Fetching {
		asked[strings.TrimPrefix(name, "fetch.")] = []string{v.Value(name)}
	}
	body, err := json.Marshal(fetchDocument(asked))
	if err != nil {
		return err
	}
	got, err := s.FetchRecord(c.Request.Context(), openapi.FetchRecordRequestObject{ContentType: "application/json", Body: bytes.NewReader(body)})
	if err == nil {
		v.Choose("wind", "record")
		v.Set("wind.record.id", strings.TrimPrefix(got.(answer).location, "/v1/records/"))
		v.Notices = append(v.Notices, page.Text("form.file_added", page.Text("form.by.wind.fetch")))
		return nil
	}
	faults, ok := fetchFaults(err)
	if !ok {
		return err
	}
	for name, words := range faults {
		switch name {
		case "latitude", "longitude":
			name = "site." + name
		case "":
			name = "fetch.source"
		default:
			name = "fetch." + name
		}
		v.Blame(name, words)
	}
	return nil
}
