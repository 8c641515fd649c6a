-- Keys that open the service. Of their secrets only a hash is kept.
CREATE TABLE keys (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    scope      TEXT NOT NULL CHECK (scope IN ('read', 'write', 'admin')),
    hash       BLOB NOT NULL UNIQUE,
    created_us INTEGER NOT NULL,
    expires_us INTEGER NOT NULL
) STRICT;
