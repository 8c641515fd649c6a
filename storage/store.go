package storage

import (
	"context"
	"errors"
	"iter"
	"time"
)

// The errors a caller decides by. Every Store method wraps one of them, or returns an error that is none of them and
// means the database itself failed.
var (
	ErrNotFound = errors.New("storage: not found")
	ErrConflict = errors.New("storage: changed by somebody else meanwhile")
	ErrInUse    = errors.New("storage: still used by a saved site")
	ErrNewer    = errors.New("storage: the database was written by a newer Mastworth")
	ErrNoRoom   = errors.New("storage: the database cannot be written: its disk is full, or may only be read")
)

// Record describes a stored record. Its samples are blocks; see Block.
type Record struct {
	ID           string // chosen by the caller, URL-safe, unique
	Name         string // the file's name as uploaded; may be empty
	SourceFormat string
	ContentHash  string // hex SHA-256 over the blocks, in order
	CreatedAt    time.Time
	Rows         int64
	FirstUnix    int64 // first and last stamp, Unix seconds
	LastUnix     int64
	Meta         []byte // JSON: everything of resource.Series but the samples (see EncodeMeta)
	Report       []byte // JSON: the import report as the API answers it
	Statistics   []byte // JSON: derived statistics, with the method version inside; may be nil
}

// Block is one calendar month (UTC) of one record's samples, encoded as Parquet.
type Block struct {
	Month    string // "2015-08"
	Rows     int64
	Checksum string // hex SHA-256 of Data
	Data     []byte
}

// Curve is a turbine's power curve that is kept. It never changes.
type Curve struct {
	ID          string
	Name        string
	Source      string // what it came from: "power_curve", "design" or "test_log"
	ContentHash string // hex SHA-256 of Turbine and Machine
	CreatedAt   time.Time
	DiameterM   float64 // of the rotor
	PeakW       float64 // highest power
	Turbine     []byte  // JSON: the turbine as a request has it
	Machine     []byte  // JSON: what was found on the way to the curve
}

// Site is a saved request.
type Site struct {
	ID          string
	Name        string
	RecordID    string // the record its wind comes from; empty when none
	ReferenceID string // the record by which that is stretched to the long run; empty when none
	LogID       string // the record that is its turbine's log; empty when none
	CurveID     string // the kept curve of its turbine; empty when none
	Request     []byte // the request document, JSON
	Version     int64  // 1 at creation, one more at each update
	CreatedAt   time.Time
	UpdatedAt   time.Time
	Club        Club
}

// Club is what a site shows to everybody. The zero value is nothing.
type Club struct {
	Public    bool
	ShownAs   string // its name on the board; empty: the site's own
	ShowCosts bool   // whether what the mast and machine cost is shown too
	ChangedAt time.Time
}

// SavedEstimate is an answer kept beside its site. Key names everything it was computed from.
type SavedEstimate struct {
	SiteID string
	Key    string
	Body   []byte // the estimate document, JSON

	Board      []byte // JSON: what the club's board needs of it; nil where nothing of it may be shown
	ComputedAt time.Time
	Of         time.Time // UpdatedAt of the site that was estimated; zero: whichever it is. SaveEstimate alone looks at it
}

// Reading is what a member read off the meter of a site's machine. It goes with its site.
type Reading struct {
	ID        string
	SiteID    string
	FromUnix  int64 // where an energy's time began, Unix seconds; 0: with the energy before it
	AtUnix    int64 // when it was read
	Meter     bool  // KWh is a counter, else the energy of the time that ended then
	KWh       float64
	CreatedAt time.Time
}

// BoardEntry is a public site as the board sees it, without its request or estimate.
type BoardEntry struct {
	ID         string
	Name       string // the one to be shown
	Version    int64
	CreatedAt  time.Time
	ShowCosts  bool
	ChangedAt  time.Time // of what it shows; see Club
	Board      []byte    // of the kept estimate; nil where none is kept
	ComputedAt time.Time // of the kept estimate; zero where none is kept
}

// Page asks for a slice of a list, newest first. After is the ID of the last item of the page before; empty starts.
type Page struct {
	After string
	Limit int
}

// Store keeps records, sites and their estimates. All methods honour ctx and are safe for concurrent use.
type Store interface {
	// CreateRecord stores a record and its blocks in one transaction: all of it or nothing. The blocks are drawn from
	// the iterator as they are written; an error from it rolls everything back and is returned wrapped. finish is called
	// after the last block and returns the record as it is to be stored (rows, hash, report, statistics are known only
	// then); its ID must be the one given. An id that is taken is ErrConflict.
	CreateRecord(ctx context.Context, id string, blocks iter.Seq2[Block, error], finish func() (Record, error)) (Record, error)
	// Record returns ErrNotFound for an unknown id.
	Record(ctx context.Context, id string) (Record, error)
	// Records lists records, newest first (CreatedAt, then ID). It leaves out Report and Statistics.
	Records(ctx context.Context, p Page) ([]Record, error)
	// DeleteRecord returns ErrNotFound, or ErrInUse while a site's RecordID, ReferenceID or LogID names it.
	DeleteRecord(ctx context.Context, id string) error
	// Blocks yields a record's blocks in the order of their months; ErrNotFound for an unknown id.
	Blocks(ctx context.Context, id string) iter.Seq2[Block, error]

	// CreateCurve stores a curve; an ID that is taken is ErrConflict.
	CreateCurve(ctx context.Context, c Curve) error
	// Curve returns ErrNotFound for an unknown id.
	Curve(ctx context.Context, id string) (Curve, error)
	// Curves lists curves, newest first (CreatedAt, then ID). It leaves out Turbine and Machine.
	Curves(ctx context.Context, p Page) ([]Curve, error)
	// DeleteCurve returns ErrNotFound, or ErrInUse while a site's CurveID names it.
	DeleteCurve(ctx context.Context, id string) error

	// CreateSite stores a new site with Version 1, and what it shows. An id of a record or curve that names none is ErrNotFound, an ID that is
	// taken ErrConflict.
	CreateSite(ctx context.Context, s Site) (Site, error)
	// Site returns ErrNotFound for an unknown id.
	Site(ctx context.Context, id string) (Site, error)
	// Sites lists sites, newest first (CreatedAt, then ID).
	Sites(ctx context.Context, p Page) ([]Site, error)
	// UpdateSite replaces name, record and curve ids and request, and nothing else, if s.Version is still the stored one (ErrConflict otherwise; 0 means
	// whatever it is), and drops the saved estimate. It returns the site with its new version.
	UpdateSite(ctx context.Context, s Site) (Site, error)
	// SetClub replaces what a site shows, if version is still the stored one (ErrConflict otherwise; 0 means whatever it is). It
	// counts as an update, but the saved estimate stays.
	SetClub(ctx context.Context, id string, version int64, c Club) (Site, error)
	// DeleteSite returns ErrNotFound for an unknown id. The saved estimate goes with it.
	DeleteSite(ctx context.Context, id string) error

	// SaveEstimate keeps an answer for a site, replacing the one before; ErrNotFound when the site is gone, or no longer the one it
	// is Of.
	SaveEstimate(ctx context.Context, e SavedEstimate) error
	// Estimate returns the kept answer, or ErrNotFound.
	Estimate(ctx context.Context, siteID string) (SavedEstimate, error)
	// EstimateStamps names the states of those sites that there are and of their kept answers, as EstimateStamp does: a stamp changes
	// when either does. It is made to be asked often.
	EstimateStamps(ctx context.Context, siteIDs []string) (map[string]string, error)
	// Outcomes returns the kept answers of those sites that have one, without their bodies, in any order.
	Outcomes(ctx context.Context, siteIDs []string) ([]SavedEstimate, error)

	// AddReadings adds readings to a site, all of them or none; those that are there already (all but ID and CreatedAt alike) are passed over.
	// It returns how many were new. The site's ID in them is not looked at. ErrNotFound for an unknown site, ErrConflict for an ID that is taken.
	AddReadings(ctx context.Context, siteID string, all []Reading) (added int, err error)
	// Readings lists a site's readings by rising time (AtUnix, FromUnix, ID); none for an unknown site.
	Readings(ctx context.Context, siteID string) ([]Reading, error)
	// DeleteReading returns ErrNotFound for an id that is none of the site's.
	DeleteReading(ctx context.Context, siteID, id string) error

	// BoardStamp names the state of all public sites and their kept estimates: it changes when any of them does.
	BoardStamp(ctx context.Context) (string, error)
	// Board lists all public sites, by ID.
	Board(ctx context.Context) ([]BoardEntry, error)
	// BoardEntry returns a public site; ErrNotFound for one that is unknown or not public.
	BoardEntry(ctx context.Context, siteID string) (BoardEntry, error)

	// CreateKey stores a key; an ID or Hash that is taken is ErrConflict.
	CreateKey(ctx context.Context, k Key) error
	// Key returns ErrNotFound for an unknown id.
	Key(ctx context.Context, id string) (Key, error)
	// KeyByHash finds a key by the hash of its secret, or returns ErrNotFound.
	KeyByHash(ctx context.Context, hash []byte) (Key, error)
	// Keys lists all keys, newest first.
	Keys(ctx context.Context) ([]Key, error)
	// DeleteKey returns ErrNotFound for an unknown id.
	DeleteKey(ctx context.Context, id string) error

	// Ping reports whether the database answers.
	Ping(ctx context.Context) error
	Close() error
}
