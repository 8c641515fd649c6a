package main

import (
	"net/url"
	"strings"
	"unicode/utf8"

	"mastworth/api"
)

const (
	maxClubName  = 80
	maxClubText  = 2000
	leastStepDeg = 0.01 // a public site's place is kept no finer
	mostStepDeg  = 10
)

// club is what the settings say of the club's pages.
func (c config) club() api.ClubOptions {
	return api.ClubOptions{Name: c.ClubName, Text: c.ClubText, Address: c.ClubAddress, Origins: byComma(c.ClubOrigins), Frames: byComma(c.ClubFrames),
		PlaceStepDeg: c.ClubPlaceStepDeg}
}

// byComma takes a list with commas apart.
func byComma(list string) []string {
	var out []string
	for _, one := range strings.Split(list, ",") {
		if one = strings.TrimSpace(one); one != "" {
			out = append(out, one)
		}
	}
	return out
}

func (c config) validateClub(bad func(name, format string, args ...any)) {
	for _, t := range []struct {
		name, text string
		most       int
	}{{"club_name", c.ClubName, maxClubName}, {"club_text", c.ClubText, maxClubText}} {
		if n := utf8.RuneCountInString(t.text); n > t.most {
			bad(t.name, "must be at most %d characters long, not %d", t.most, n)
		}
	}
	if c.ClubAddress != "" && !isOrigin(c.ClubAddress) {
		bad("club_address", "%q is not the address of a server, such as https://wind.example.org, with nothing behind it", c.ClubAddress)
	}
	for name, list := range map[string]string{"club_origins": c.ClubOrigins, "club_frames": c.ClubFrames} {
		for _, one := range byComma(list) {
			if one != "*" && !isOrigin(one) {
				bad(name, "%q is neither * nor the address of a website, such as https://club.example.org, with nothing behind it", one)
			}
		}
	}
	if !(c.ClubPlaceStepDeg >= leastStepDeg && c.ClubPlaceStepDeg <= mostStepDeg) {
		bad("club_place_step_deg", "must be from %g to %g, not %g", leastStepDeg, float64(mostStepDeg), c.ClubPlaceStepDeg)
	}
}

// isOrigin reports whether an address is scheme, host and perhaps port, as a browser writes an origin.
func isOrigin(address string) bool {
	u, err := url.Parse(address)
	return err == nil && (u.Scheme == "http" || u.Scheme == "https") && u.Hostname() != "" && u.Scheme+"://"+u.Host == address &&
		!strings.ContainsAny(u.Host, ` ;,'"*`)
}
