-- A turbine's power curve and what was found on the way to it. It never changes once it is in.
CREATE TABLE curves (
    id           TEXT PRIMARY KEY,
    name         TEXT NOT NULL,
    source       TEXT NOT NULL,
    content_hash TEXT NOT NULL,
    created_us   INTEGER NOT NULL,
    diameter_m   REAL NOT NULL,
    peak_w       REAL NOT NULL,
    turbine      BLOB NOT NULL,
    machine      BLOB NOT NULL
) STRICT;
CREATE INDEX curves_newest ON curves (created_us DESC, id DESC);

-- The kept curve of a site's turbine, or the record that is its log.
ALTER TABLE sites ADD COLUMN curve_id TEXT REFERENCES curves (id);
ALTER TABLE sites ADD COLUMN log_id TEXT REFERENCES records (id);
CREATE INDEX sites_by_curve ON sites (curve_id);
CREATE INDEX sites_by_log ON sites (log_id);
