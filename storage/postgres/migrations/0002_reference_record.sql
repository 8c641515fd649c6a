-- The record by which a site's wind is stretched to the long run.
ALTER TABLE sites ADD COLUMN reference_id TEXT REFERENCES records (id);
CREATE INDEX sites_by_reference ON sites (reference_id);
