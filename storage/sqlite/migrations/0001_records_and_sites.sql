-- Times are microseconds since 1970 (UTC) where they say when something was written, seconds where they are stamps.
CREATE TABLE records (
    id            TEXT PRIMARY KEY,
    name          TEXT NOT NULL,
    source_format TEXT NOT NULL,
    content_hash  TEXT NOT NULL,
    created_us    INTEGER NOT NULL,
    rows          INTEGER NOT NULL,
    first_unix    INTEGER NOT NULL,
    last_unix     INTEGER NOT NULL,
    meta          BLOB NOT NULL,
    report        BLOB NOT NULL,
    statistics    BLOB
) STRICT;
CREATE INDEX records_newest ON records (created_us DESC, id DESC);

-- Blocks are written before their record, whose row is known only after the last of them.
CREATE TABLE blocks (
    record_id TEXT NOT NULL REFERENCES records (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
    month     TEXT NOT NULL,
    rows      INTEGER NOT NULL,
    checksum  TEXT NOT NULL,
    data      BLOB NOT NULL,
    PRIMARY KEY (record_id, month)
) STRICT;

CREATE TABLE sites (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    record_id  TEXT REFERENCES records (id),
    request    BLOB NOT NULL,
    version    INTEGER NOT NULL,
    created_us INTEGER NOT NULL,
    updated_us INTEGER NOT NULL
) STRICT;
CREATE INDEX sites_newest ON sites (created_us DESC, id DESC);
CREATE INDEX sites_by_record ON sites (record_id);

CREATE TABLE estimates (
    site_id TEXT PRIMARY KEY REFERENCES sites (id) ON DELETE CASCADE,
    key     TEXT NOT NULL,
    body    BLOB NOT NULL
) STRICT;
