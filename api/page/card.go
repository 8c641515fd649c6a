package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"strings"

	"mastworth/openapi"
)

// The size of a card, px.
const (
	CardWidth  = 360
	CardHeight = 180
)

// cardStyle follows the reader's wish for dark or light, in a picture too.
const cardStyle = `text{font-family:system-ui,sans-serif;fill:#1f2830}.q{fill:#56626c}.p{fill:#fff;stroke:#c3cad0}.r{stroke:#c3cad0}` +
	`@media (prefers-color-scheme:dark){text{fill:#e8ecef}.q{fill:#a3aeb7}.p{fill:#14191e;stroke:#454f58}.r{stroke:#454f58}}`

// CardStyleHash is what a policy of content must allow for a card to be shown by itself.
var CardStyleHash = func() string {
	h := sha256.Sum256([]byte(cardStyle))
	return "'sha256-" + base64.StdEncoding.EncodeToString(h[:]) + "'"
}()

// Card is a public site's numbers as one SVG picture, text as text.
func Card(s *openapi.BoardSite, club string) []byte {
	r := NewClubRow(s, Units{})
	var b bytes.Buffer
	alt := r.Name + ": " + r.Verdict
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %[1]d %d" role="img" aria-labelledby="t d">`+"\n",
		CardWidth, CardHeight, CardHeight)
	numbers := []Pair{{Text("card.energy"), unit(r.Energy, "kWh")}, {Text("card.height"), r.Height}, {Text("card.wind"), r.Cost}, {Text("card.solar"), r.Solar}}
	var told []string
	for _, n := range numbers {
		told = append(told, n.Name+" "+n.Value)
	}
	fmt.Fprintf(&b, "<title id=\"t\">%s</title>\n<desc id=\"d\">%s</desc>\n<style>%s</style>\n", escaped(alt), escaped(strings.Join(told, "; ")), cardStyle)
	b.WriteString(`<rect class="p" x="0.5" y="0.5" width="359" height="179" rx="6"/>` + "\n")
	line := func(x, y, size int, weight, class, text string) {
		fmt.Fprintf(&b, `<text x="%d" y="%d" font-size="%d" font-weight="%s"%s>%s</text>`+"\n", x, y, size, weight, class, escaped(text))
	}
	const quiet = ` class="q"`
	line(16, 30, 17, "650", "", shortened(r.Name, 36))
	verdict := r.Verdict
	if r.Chance != unknown {
		verdict += Text("card.chance", r.Chance)
	}
	line(16, 54, 15, "400", "", shortened(verdict, 44))
	b.WriteString(`<path class="r" d="M16 68.5H344"/>` + "\n")
	if r.NotYet {
		line(16, 100, 15, "400", quiet, r.State)
	} else {
		for i, n := range numbers {
			x, y := 16+168*(i%2), 88+42*(i/2)
			line(x, y, 11, "400", quiet, n.Name)
			line(x, y+18, 15, "650", "", n.Value)
		}
	}
	foot := Text("app.name")
	if club != "" {
		foot = club
	}
	line(16, 169, 10, "400", quiet, shortened(foot+" · "+r.Changed, 60))
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// escaped makes a text fit for XML; what XML cannot have becomes the sign for that.
func escaped(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a strings.Builder takes everything
	return b.String()
}

// shortened cuts a text at so many characters.
func shortened(text string, most int) string {
	if runes := []rune(text); len(runes) > most {
		return strings.TrimSpace(string(runes[:most-1])) + "…"
	}
	return text
}
