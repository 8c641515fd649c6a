-- Keys that open the service. Of their secrets only a hash is kept.
CREATE TABLE keys (
    id         text PRIMARY KEY,
    name       text NOT NULL,
    scope      text NOT NULL CHECK (scope IN ('read', 'write', 'admin')),
    hash       bytea NOT NULL UNIQUE,
    created_us bigint NOT NULL,
    expires_us bigint NOT NULL
);
