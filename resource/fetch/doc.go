// Package fetch brings public records of wind and sun for a place: reanalyses by coordinate, and the nearest weather
// stations. It is the one package under resource that talks to the network. It hands the bytes that come back to the
// readers of package ingest, joins the years, and says where everything came from and under what terms.
//
//	client, err := fetch.New(fetch.Options{Cache: cache})
//	series, report, fetched, err := client.Fetch(ctx, place, fetch.Years{From: 2014, To: 2023}, fetch.Source{Archive: fetch.NASAPower})
//
// One year is one request, and every answer is kept in the cache as soon as it is whole. A fetch that broke off goes on
// where it stopped when it is asked for again; with Options.Offline the cache alone is asked.
//
// The client is polite: a pause between requests to one host, retries with growing and jittered waits, Retry-After
// honoured up to a bound. It is careful: time and size limits, also on what gzip unfolds to; no connection to an address
// that is not public, whether by name, by number or by redirect, but for mirrors that Options.AllowPrivate covers. It
// sends no more of a place than two decimals of a degree, about a kilometre, which no archive resolves.
//
// The addresses of the services are settings (Sources), so that mirrors and tests work. No proxy is used: behind one,
// the address that is connected to could not be checked.
package fetch
