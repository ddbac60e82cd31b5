package store

// applicationID marks a workshop file in the header of SQLite's file format: "Shkd".
const applicationID = 0x53686b64

// migrations bring a file from one version to the next; the version of a file is how many of them it has had. One that
// has been released is never changed: another is added, and a file made by it is kept in testdata.
var migrations = []string{
	// 1: machines, the texts of their sheets, and the revisions.
	`CREATE TABLE machines (
		id      TEXT PRIMARY KEY,              -- random, travels with exports
		name    TEXT NOT NULL,
		created TEXT NOT NULL,                 -- RFC 3339, UTC
		head    INTEGER NOT NULL DEFAULT 0     -- number of the newest revision
	) STRICT;
	CREATE TABLE texts (
		hash TEXT PRIMARY KEY,                 -- SHA-256, hexadecimal
		text BLOB NOT NULL
	) STRICT;
	CREATE TABLE revisions (
		machine TEXT NOT NULL REFERENCES machines(id) ON DELETE CASCADE,
		number  INTEGER NOT NULL,              -- from 1
		saved   TEXT NOT NULL,                 -- RFC 3339, UTC
		summary TEXT NOT NULL,                 -- one line
		hash    TEXT NOT NULL REFERENCES texts(hash),
		undo    INTEGER NOT NULL DEFAULT 0,    -- revision that undo goes back to; 0 for none
		redo    INTEGER NOT NULL DEFAULT 0,    -- revision that redo brings back; 0 for none
		PRIMARY KEY (machine, number)
	) STRICT;
	CREATE TABLE drafts (
		machine TEXT PRIMARY KEY REFERENCES machines(id) ON DELETE CASCADE,
		base    INTEGER NOT NULL,              -- revision it was begun from
		saved   TEXT NOT NULL,
		text    BLOB NOT NULL
	) STRICT;`,
	// 2: results that took time, under a hash of all they follow from. Losing them loses nothing.
	`CREATE TABLE results (
		key   TEXT PRIMARY KEY,
		found TEXT NOT NULL,                   -- RFC 3339, UTC
		value BLOB NOT NULL
	) STRICT;`,
	// 3: recordings of courses, byte for byte as they came.
	`CREATE TABLE rides (
		machine TEXT NOT NULL REFERENCES machines(id) ON DELETE CASCADE,
		name    TEXT NOT NULL,                 -- of the file
		saved   TEXT NOT NULL,                 -- RFC 3339, UTC
		data    BLOB NOT NULL,
		PRIMARY KEY (machine, name)
	) STRICT;`,
	// 4: when a recording was taken out (RFC 3339, UTC; empty for one that is there), so that it can be put back; and
	// whether a machine is put away (1).
	`ALTER TABLE rides ADD COLUMN dropped TEXT NOT NULL DEFAULT '';
	ALTER TABLE machines ADD COLUMN away INTEGER NOT NULL DEFAULT 0;`,
}
