-- Times are microseconds since 1970 (UTC) where they say when something was written, seconds where they are stamps.
CREATE TABLE records (
    id            TEXT PRIMARY KEY,
    name          TEXT NOT NULL,
    source_format TEXT NOT NULL,
    content_hash  TEXT NOT NULL,
    created_us    BIGINT NOT NULL,
    rows          BIGINT NOT NULL,
    first_unix    BIGINT NOT NULL,
    last_unix     BIGINT NOT NULL,
    meta          BYTEA NOT NULL,
    report        BYTEA NOT NULL,
    statistics    BYTEA
);
CREATE INDEX records_newest ON records (created_us DESC, id COLLATE "C" DESC);

-- Blocks are written before their record, whose row is known only after the last of them.
CREATE TABLE blocks (
    record_id TEXT NOT NULL REFERENCES records (id) ON DELETE CASCADE DEFERRABLE INITIALLY DEFERRED,
    month     TEXT NOT NULL,
    rows      BIGINT NOT NULL,
    checksum  TEXT NOT NULL,
    data      BYTEA NOT NULL,
    PRIMARY KEY (record_id, month)
);

CREATE TABLE sites (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    record_id  TEXT REFERENCES records (id),
    request    BYTEA NOT NULL,
    version    BIGINT NOT NULL,
    created_us BIGINT NOT NULL,
    updated_us BIGINT NOT NULL
);
CREATE INDEX sites_newest ON sites (created_us DESC, id COLLATE "C" DESC);
CREATE INDEX sites_by_record ON sites (record_id);

CREATE TABLE estimates (
    site_id TEXT PRIMARY KEY REFERENCES sites (id) ON DELETE CASCADE,
    key     TEXT NOT NULL,
    body    BYTEA NOT NULL
);
