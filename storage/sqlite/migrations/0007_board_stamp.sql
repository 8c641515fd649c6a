-- What the board's stamp is made of, by itself: it is asked for at each look at the board, and in the tables it lies among requests and
-- estimates.
DROP INDEX sites_public;
CREATE INDEX sites_public ON sites (id, version, club_us) WHERE public = 1;
CREATE INDEX boards_stamp ON boards (site_id, key, computed_us);
