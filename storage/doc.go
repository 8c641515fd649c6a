// Package storage says what is kept and how it is laid out; its children keep it, in SQLite or in PostgreSQL.
//
// The samples of a record are Parquet blocks, one a calendar month (UTC), in a column of bytes of either database:
//
//	record ─┬─ meta        JSON: step, clock, kind, place, channels (EncodeMeta)
//	        ├─ report      JSON: what the import found
//	        ├─ statistics  JSON: derived, with the version of the method inside
//	        └─ block "2015-08", "2015-09", …
//	              time                    timestamp in ms, delta-encoded
//	              speed_10m_m_s           double, NaN where missing (null in the file that is handed out)
//	              speed_10m_m_s_flags     int32, a set of resource.Flag; only for channels that have flags
//	              …                       one column a channel, in the order of their names; compressed by Snappy, which costs least to write
//
// Each block opens in any dataframe tool by itself. It carries its SHA-256, which every reading verifies, and the same
// series always gives the same bytes, so that a record's content has a name (its hash). A record does not change once it
// is in, and an import is one transaction: all of it or nothing.
package storage
