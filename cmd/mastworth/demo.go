package main

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
)

// demoSite is the invented garden's request; %RECORD% stands for the id its record gets.
//
//go:embed demo.yaml
var demoSite string

// loadDemo brings the invented record and site in through the service's own front door, so that the demo shows what a user's
// own data would do.
func loadDemo(ctx context.Context, base string, out io.Writer) error {
	record, err := post(ctx, base+"/v1/records?name=orchard-end-2024.csv", "text/csv", demoRecord())
	if err != nil {
		return fmt.Errorf("demo: storing the record: %w", err)
	}
	site, err := post(ctx, base+"/v1/sites", "application/yaml", []byte(strings.ReplaceAll(demoSite, "%RECORD%", record)))
	if err != nil {
		return fmt.Errorf("demo: storing the site: %w", err)
	}
	_, err = fmt.Fprintf(out, `An invented garden, record and turbine are loaded, for as long as this runs:
  page      %[1]s/sites/%[2]s
  site      %[1]s/v1/sites/%[2]s
  estimate  %[1]s/v1/sites/%[2]s/estimate
  record    %[1]s/v1/records/%[3]s
  contract  %[1]s/contract
  methods   %[1]s/method
`, base, site, record)
	return err
}

// post sends a document to the service and returns the id of what it became.
func post(ctx context.Context, url, contentType string, body []byte) (id string, err error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return "", err
	}
	request.Header.Set("Content-Type", contentType)
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		return "", err
	}
	defer response.Body.Close()
	answer, err := io.ReadAll(io.LimitReader(response.Body, 1<<20))
	if err != nil {
		return "", err
	}
	if response.StatusCode != http.StatusCreated {
		return "", fmt.Errorf("the service answered %s: %s", response.Status, answer)
	}
	var made struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal(answer, &made); err != nil {
		return "", err
	}
	return made.ID, nil
}
