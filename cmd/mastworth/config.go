package main

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/spf13/cobra"

	"mastworth/api"
)

// config is everything the service can be told. The order of precedence is: defaults, file, environment, flags.
type config struct {
	Listen            string `yaml:"listen"`
	Database          string `yaml:"database"`
	Keys              bool   `yaml:"keys"`
	AnyoneMayRead     bool   `yaml:"anyone_may_read"`
	AnyoneMayWrite    bool   `yaml:"anyone_may_write"`
	RequestsPerSecond int    `yaml:"requests_per_second"`
	TrustedProxies    string `yaml:"trusted_proxies"`
	MaxUploadMB       int    `yaml:"max_upload_mb"`
	CacheMB           int    `yaml:"cache_mb"`
	HeavyJobs         int    `yaml:"heavy_jobs"`
	Fetch             bool   `yaml:"fetch"`
	FetchCache        string `yaml:"fetch_cache"`
	FetchMirror       string `yaml:"fetch_mirror"`
	LogFormat         string `yaml:"log_format"`
	TraceEndpoint     string `yaml:"trace_endpoint"`

	ClubName         string  `yaml:"club_name"`
	ClubText         string  `yaml:"club_text"`
	ClubAddress      string  `yaml:"club_address"`
	ClubOrigins      string  `yaml:"club_origins"`
	ClubFrames       string  `yaml:"club_frames"`
	ClubPlaceStepDeg float64 `yaml:"club_place_step_deg"`
}

func defaultConfig() config {
	return config{Listen: "127.0.0.1:8320", Database: "mastworth.db", RequestsPerSecond: 50, MaxUploadMB: 2048, CacheMB: 128, HeavyJobs: 2, FetchCache: "mastworth-cache", LogFormat: logJSON,
		ClubPlaceStepDeg: api.DefaultPlaceStepDeg}
}

// option is one setting: how the file, the environment and the flags name it, and what it is for. The README's table of
// settings is checked against this list by a test.
type option struct {
	name   string // as in the file; MASTWORTH_NAME in the environment, --name with dashes as a flag
	help   string
	secret bool
	onOff  bool // its flag needs no value
	set    func(c *config, v string) error
	show   func(c *config) string
}

// env is the option's name in the environment. The database is named for what it usually holds there, a URL.
func (o option) env() string {
	if o.name == "database" {
		return "MASTWORTH_DATABASE_URL"
	}
	return "MASTWORTH_" + strings.ToUpper(o.name)
}

func (o option) flag() string { return strings.ReplaceAll(o.name, "_", "-") }

// The kinds of setting.
func textOption(name, help string, of func(*config) *string) option {
	return option{name: name, help: help, set: func(c *config, v string) error { *of(c) = v; return nil },
		show: func(c *config) string { return *of(c) }}
}

func wholeOption(name, help string, of func(*config) *int) option {
	return option{name: name, help: help, set: func(c *config, v string) (err error) { *of(c), err = strconv.Atoi(v); return err },
		show: func(c *config) string { return strconv.Itoa(*of(c)) }}
}

func switchOption(name, help string, of func(*config) *bool) option {
	return option{name: name, help: help, onOff: true, set: func(c *config, v string) (err error) { *of(c), err = strconv.ParseBool(v); return err },
		show: func(c *config) string { return strconv.FormatBool(*of(c)) }}
}

var options = []option{
	textOption("listen", "address to listen on, HOST:PORT", func(c *config) *string { return &c.Listen }),
	{name: "database", help: "SQLite file, or a postgres:// URL", secret: true,
		set:  func(c *config, v string) error { c.Database = v; return nil },
		show: func(c *config) string { return hidePassword(c.Database) }},
	switchOption("keys", "ask for a key for all that is not public; mastworth keys create makes one", func(c *config) *bool { return &c.Keys }),
	switchOption("anyone_may_read", "with keys: ask for one for changes alone", func(c *config) *bool { return &c.AnyoneMayRead }),
	switchOption("anyone_may_write", "listen beyond this computer without keys: whoever reaches the port may read and write all",
		func(c *config) *bool { return &c.AnyoneMayWrite }),
	wholeOption("requests_per_second", "how many requests a key, or an address without one, may make in the long run; 0: as many as it likes",
		func(c *config) *int { return &c.RequestsPerSecond }),
	textOption("trusted_proxies", "addresses or networks of reverse proxies, by comma, whose word is taken on whom they ask for",
		func(c *config) *string { return &c.TrustedProxies }),
	wholeOption("max_upload_mb", "largest record file taken, MB", func(c *config) *int { return &c.MaxUploadMB }),
	wholeOption("cache_mb", "memory for decoded records, MB", func(c *config) *int { return &c.CacheMB }),
	wholeOption("heavy_jobs", "imports and record estimates that may run at once", func(c *config) *int { return &c.HeavyJobs }),
	switchOption("fetch", "fetch public data for whoever asks; the service calls out for it", func(c *config) *bool { return &c.Fetch }),
	textOption("fetch_cache", "folder for what was fetched", func(c *config) *string { return &c.FetchCache }),
	textOption("fetch_mirror", "address of a mirror that has all the archives; empty: the public services", func(c *config) *string { return &c.FetchMirror }),
	textOption("log_format", "how a line of the log is written: json, text, or off", func(c *config) *string { return &c.LogFormat }),
	textOption("trace_endpoint", "address of a collector of traces (OTLP over HTTP), such as http://127.0.0.1:4318; empty: no traces",
		func(c *config) *string { return &c.TraceEndpoint }),
	textOption("club_name", "name of the club, above its board", func(c *config) *string { return &c.ClubName }),
	textOption("club_text", "a paragraph above the club's board", func(c *config) *string { return &c.ClubText }),
	textOption("club_address", "the service's address as the world reaches it, such as https://wind.example.org; empty: as each request names it",
		func(c *config) *string { return &c.ClubAddress }),
	textOption("club_origins", "websites whose scripts may read the board, such as https://club.example.org; commas between, * for any",
		func(c *config) *string { return &c.ClubOrigins }),
	textOption("club_frames", "websites that may frame a public site's short page, in the same way", func(c *config) *string { return &c.ClubFrames }),
	{name: "club_place_step_deg", help: "places of public sites are rounded to multiples of so many degrees",
		set:  func(c *config, v string) (err error) { c.ClubPlaceStepDeg, err = strconv.ParseFloat(v, 64); return err },
		show: func(c *config) string { return strconv.FormatFloat(c.ClubPlaceStepDeg, 'g', -1, 64) }},
}

// hidePassword makes a database URL fit to be shown.
func hidePassword(database string) string {
	u, err := url.Parse(database)
	if err != nil {
		return "(an address that cannot be read)"
	}
	if q := u.Query(); q.Has("password") {
		q.Set("password", "xxxxx")
		u.RawQuery = q.Encode()
	}
	if u.Scheme == "" {
		return database // a file's path, to the letter
	}
	return u.Redacted()
}

// loadConfig layers file, environment and the flags that were given over the defaults, and validates the whole.
func loadConfig(file string, env func(string) (string, bool), flags map[string]string) (config, error) {
	c := defaultConfig()
	if file != "" {
		b, err := os.ReadFile(file)
		if err != nil {
			return c, fmt.Errorf("config: %w", err)
		}
		if err := yaml.UnmarshalWithOptions(b, &c, yaml.Strict()); err != nil {
			return c, usageError{fmt.Errorf("config file %s: %s", file, yaml.FormatError(err, false, false))}
		}
	}
	for _, o := range options {
		if v, ok := env(o.env()); ok && v != "" {
			if err := o.set(&c, v); err != nil {
				return c, usageError{fmt.Errorf("environment variable %s: %q cannot be read: %w", o.env(), v, err)}
			}
		}
		if v, ok := flags[o.name]; ok {
			if err := o.set(&c, v); err != nil {
				return c, usageError{fmt.Errorf("--%s: %q cannot be read: %w", o.flag(), v, err)}
			}
		}
	}
	return c, c.validate()
}

// validate reports every setting that cannot be used.
func (c config) validate() error {
	var errs []error
	bad := func(name, format string, args ...any) {
		errs = append(errs, fmt.Errorf("setting %s: %s", name, fmt.Sprintf(format, args...)))
	}
	host, port, err := net.SplitHostPort(c.Listen)
	if n, perr := strconv.Atoi(port); err != nil || perr != nil || n < 0 || n > 65535 {
		bad("listen", "%q is not HOST:PORT, such as 127.0.0.1:8320", c.Listen)
	} else if !isLoopback(host) && !c.Keys && !c.AnyoneMayWrite {
		bad("listen", "%q can be reached from other computers: set keys, so that who changes anything needs one, or listen on 127.0.0.1 behind a "+
			"proxy that asks who is there, or set anyone_may_write if that is what you want", c.Listen)
	}
	for _, p := range c.proxies() {
		if _, _, err := net.ParseCIDR(p); err != nil && net.ParseIP(p) == nil {
			bad("trusted_proxies", "%q is neither an address nor a network such as 10.0.0.0/8", p)
		}
	}
	if c.Database == "" {
		bad("database", "name a SQLite file or a postgres:// URL")
	}
	for _, n := range []struct {
		name        string
		v, low, top int
	}{{"max_upload_mb", c.MaxUploadMB, 1, 65536}, {"cache_mb", c.CacheMB, 0, 65536}, {"heavy_jobs", c.HeavyJobs, 1, 256},
		{"requests_per_second", c.RequestsPerSecond, 0, 100_000}} {
		if n.v < n.low || n.v > n.top {
			bad(n.name, "must be from %d to %d, not %d", n.low, n.top, n.v)
		}
	}
	if c.Fetch && c.FetchCache == "" {
		bad("fetch_cache", "name a folder; without it nothing fetched is kept")
	}
	if c.LogFormat != logJSON && c.LogFormat != logText && c.LogFormat != logOff {
		bad("log_format", "%q is none of %s, %s and %s", c.LogFormat, logJSON, logText, logOff)
	}
	if u, err := url.Parse(c.TraceEndpoint); c.TraceEndpoint != "" && (err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https") {
		bad("trace_endpoint", "%q is not an address such as http://127.0.0.1:4318", c.TraceEndpoint)
	}
	c.validateClub(bad)
	if err := errors.Join(errs...); err != nil {
		return usageError{err}
	}
	return nil
}

// proxies are the trusted ones.
func (c config) proxies() []string {
	return strings.FieldsFunc(c.TrustedProxies, func(r rune) bool { return r == ',' || r == ' ' })
}

// access is who may do what.
func (c config) access() api.AccessOptions {
	return api.AccessOptions{Keys: c.Keys, AnyoneMayRead: c.AnyoneMayRead, RequestsPerSecond: float64(c.RequestsPerSecond), TrustedProxies: c.proxies()}
}

// cacheBytes is the memory for decoded records; the service takes a negative number for none.
func (c config) cacheBytes() int64 {
	if c.CacheMB == 0 {
		return -1
	}
	return int64(c.CacheMB) << 20
}

// isLoopback reports whether a listening host can be reached from this computer alone.
func isLoopback(host string) bool {
	if host == "localhost" {
		return true
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// configFlags adds a flag for every option and returns a function that reads those that were given.
func configFlags(c *cobra.Command) (file *string, given func() map[string]string) {
	file = c.Flags().String("config", "", "configuration file (YAML)")
	d := defaultConfig()
	for _, o := range options {
		c.Flags().String(o.flag(), o.show(&d), o.help)
		if o.onOff {
			c.Flags().Lookup(o.flag()).NoOptDefVal = "true"
		}
	}
	return file, func() map[string]string {
		m := make(map[string]string)
		for _, o := range options {
			if f := c.Flags().Lookup(o.flag()); f.Changed {
				m[o.name] = f.Value.String()
			}
		}
		return m
	}
}

func configCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "config",
		Short: "Print the service's settings as they would be used, secrets hidden",
		Args:  noArgs,
	}
	file, given := configFlags(c)
	c.RunE = func(*cobra.Command, []string) error {
		cfg, err := loadConfig(*file, s.env, given())
		if err != nil {
			return err
		}
		for _, o := range options {
			if _, err := fmt.Fprintf(s.out, "%s: %s\n", o.name, o.show(&cfg)); err != nil {
				return err
			}
		}
		return nil
	}
	return c
}
