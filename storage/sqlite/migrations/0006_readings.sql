-- What members read off their meters. A reading that is there already is not added again.
CREATE TABLE readings (
    id         TEXT PRIMARY KEY,
    site_id    TEXT NOT NULL REFERENCES sites (id) ON DELETE CASCADE,
    from_unix  INTEGER NOT NULL,
    at_unix    INTEGER NOT NULL,
    meter      INTEGER NOT NULL,
    kwh        REAL NOT NULL,
    created_us INTEGER NOT NULL,
    UNIQUE (site_id, at_unix, from_unix, meter, kwh)
) STRICT;
