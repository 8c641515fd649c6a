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
)

// config is everything the service can be told. The order of precedence is: defaults, file, environment, flags.
type config struct {
	Listen         string `yaml:"listen"`
	Database       string `yaml:"database"`
	AnyoneMayWrite bool   `yaml:"anyone_may_write"`
	MaxUploadMB    int    `yaml:"max_upload_mb"`
	CacheMB        int    `yaml:"cache_mb"`
	HeavyJobs      int    `yaml:"heavy_jobs"`
	Fetch          bool   `yaml:"fetch"`
	FetchCache     string `yaml:"fetch_cache"`
	FetchMirror    string `yaml:"fetch_mirror"`
}

func defaultConfig() config {
	return config{Listen: "127.0.0.1:8320", Database: "mastworth.db", MaxUploadMB: 2048, CacheMB: 128, HeavyJobs: 2, FetchCache: "mastworth-cache"}
}

// option is one setting: how the file, the environment and the flags name it, and what it is for. The README's table of
// settings is checked against this list by a test.
type option struct {
	name   string // as in the file; MASTWORTH_NAME in the environment, --name with dashes as a flag
	help   string
	secret bool
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

var options = []option{
	{"listen", "address to listen on, HOST:PORT", false,
		func(c *config, v string) error { c.Listen = v; return nil },
		func(c *config) string { return c.Listen }},
	{"database", "SQLite file, or a postgres:// URL", true,
		func(c *config, v string) error { c.Database = v; return nil },
		func(c *config) string { return hidePassword(c.Database) }},
	{"anyone_may_write", "listen beyond this computer although there are no keys: whoever reaches the port may read and write all", false,
		func(c *config, v string) (err error) { c.AnyoneMayWrite, err = strconv.ParseBool(v); return err },
		func(c *config) string { return strconv.FormatBool(c.AnyoneMayWrite) }},
	{"max_upload_mb", "largest record file taken, MB", false,
		func(c *config, v string) (err error) { c.MaxUploadMB, err = strconv.Atoi(v); return err },
		func(c *config) string { return strconv.Itoa(c.MaxUploadMB) }},
	{"cache_mb", "memory for decoded records, MB", false,
		func(c *config, v string) (err error) { c.CacheMB, err = strconv.Atoi(v); return err },
		func(c *config) string { return strconv.Itoa(c.CacheMB) }},
	{"heavy_jobs", "imports and record estimates that may run at once", false,
		func(c *config, v string) (err error) { c.HeavyJobs, err = strconv.Atoi(v); return err },
		func(c *config) string { return strconv.Itoa(c.HeavyJobs) }},
	{"fetch", "fetch public data for whoever asks; the service calls out for it", false,
		func(c *config, v string) (err error) { c.Fetch, err = strconv.ParseBool(v); return err },
		func(c *config) string { return strconv.FormatBool(c.Fetch) }},
	{"fetch_cache", "folder for what was fetched", false,
		func(c *config, v string) error { c.FetchCache = v; return nil },
		func(c *config) string { return c.FetchCache }},
	{"fetch_mirror", "address of a mirror that has all the archives; empty: the public services", false,
		func(c *config, v string) error { c.FetchMirror = v; return nil },
		func(c *config) string { return c.FetchMirror }},
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
	} else if !isLoopback(host) && !c.AnyoneMayWrite {
		bad("listen", "%q can be reached from other computers and there are no keys yet: listen on 127.0.0.1 behind a proxy "+
			"that asks who is there, or set anyone_may_write if that is what you want", c.Listen)
	}
	if c.Database == "" {
		bad("database", "name a SQLite file or a postgres:// URL")
	}
	for _, n := range []struct {
		name        string
		v, low, top int
	}{{"max_upload_mb", c.MaxUploadMB, 1, 65536}, {"cache_mb", c.CacheMB, 0, 65536}, {"heavy_jobs", c.HeavyJobs, 1, 256}} {
		if n.v < n.low || n.v > n.top {
			bad(n.name, "must be from %d to %d, not %d", n.low, n.top, n.v)
		}
	}
	if c.Fetch && c.FetchCache == "" {
		bad("fetch_cache", "name a folder; without it nothing fetched is kept")
	}
	if err := errors.Join(errs...); err != nil {
		return usageError{err}
	}
	return nil
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
		if o.name == "anyone_may_write" {
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
