package api

import (
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"

	"mastworth/api/page"
)

// A visitor's choice of units is a cookie of one word. A query's word counts before it, so that a link shows what its writer saw.
const (
	unitsCookie = "mastworth_units"
	unitsQuery  = "units"
	unitsKept   = 365 * 24 * time.Hour
)

var checkUnits = checkWord(page.UnitsMetric, page.UnitsFeet)

// unitsOf are the units a page is wanted in. What it says depends on a cookie then, which caches must be told.
func unitsOf(c *gin.Context) page.Units {
	addVary(c.Writer.Header(), "Cookie")
	if u, ok := page.UnitsOf(c.Query(unitsQuery)); ok {
		return u
	}
	word, err := c.Cookie(unitsCookie)
	if err != nil {
		return page.Units{}
	}
	u, _ := page.UnitsOf(word) // what is none is metric
	return u
}

// offerUnits puts the choice below a page that obeys it.
func offerUnits(c *gin.Context, f *page.Frame) {
	f.Units = unitsOf(c).Choices()
	next := *c.Request.URL
	q := next.Query()
	q.Del(unitsQuery)
	next.RawQuery = q.Encode()
	f.HereAt = next.RequestURI()
}

// chooseUnits remembers a visitor's choice and goes back to the page it was made on.
func (s *service) chooseUnits(c *gin.Context) error {
	form, err := s.readForm(c)
	if err != nil {
		return err
	}
	u, ok := page.UnitsOf(form.Get("units"))
	if !ok {
		return newProblem(invalidRequest, "there are no such units").at("body.units", "%s", checkUnits(form.Get("units")))
	}
	rememberUnits(c, u)
	next, err := url.Parse(localPath(form.Get("next")))
	if err != nil {
		next = &url.URL{Path: "/"}
	}
	return seeOther(c, next.RequestURI())
}

func rememberUnits(c *gin.Context, u page.Units) {
	http.SetCookie(c.Writer, &http.Cookie{Name: unitsCookie, Value: u.Word(), Path: "/", MaxAge: int(unitsKept.Seconds()), HttpOnly: true,
		Secure: secureCookie(c), SameSite: http.SameSiteLaxMode})
}
