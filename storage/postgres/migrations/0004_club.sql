-- What a site shows to everybody: nothing, until its owner says otherwise. club_us is when that was last changed.
ALTER TABLE sites ADD COLUMN public INTEGER NOT NULL DEFAULT 0;
ALTER TABLE sites ADD COLUMN shown_as TEXT NOT NULL DEFAULT '';
ALTER TABLE sites ADD COLUMN show_costs INTEGER NOT NULL DEFAULT 0;
ALTER TABLE sites ADD COLUMN club_us BIGINT NOT NULL DEFAULT 0;
CREATE INDEX sites_public ON sites (id) WHERE public = 1;

-- What the club's board needs of an estimate, so that it opens none. It lies apart because estimates are large and this is read often.
CREATE TABLE boards (
    site_id     TEXT PRIMARY KEY REFERENCES estimates (site_id) ON DELETE CASCADE,
    key         TEXT NOT NULL,
    computed_us BIGINT NOT NULL,
    board       BYTEA
);
