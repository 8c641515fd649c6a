-- What members read off their meters. A reading that is there already is not added again.
CREATE TABLE readings (
    id         TEXT PRIMARY KEY,
    site_id    TEXT NOT NULL REFERENCES sites (id) ON DELETE CASCADE,
    from_unix  BIGINT NOT NULL,
    at_unix    BIGINT NOT NULL,
    meter      INTEGER NOT NULL,
    kwh        DOUBLE PRECISION NOT NULL,
    created_us BIGINT NOT NULL,
    UNIQUE (site_id, at_unix, from_unix, meter, kwh)
);
