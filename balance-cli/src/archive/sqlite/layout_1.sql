-- Layout 1. Never edit a layout that was released: add the next one.
CREATE TABLE record (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    made_at TEXT NOT NULL,
    number TEXT NOT NULL,
    customer TEXT NOT NULL,
    unit TEXT NOT NULL,
    tag TEXT NOT NULL,
    technician TEXT NOT NULL,
    shaft_type TEXT,
    outer_diameter_mm REAL,
    wall_mm REAL,
    length_mm REAL,
    verdict TEXT,
    grade TEXT,
    service_speed_rpm REAL,
    marks TEXT NOT NULL,
    weights TEXT NOT NULL,
    program TEXT NOT NULL,
    supersedes INTEGER REFERENCES record (id),
    identity BLOB NOT NULL UNIQUE CHECK (length(identity) = 32),
    previous BLOB NOT NULL CHECK (length(previous) = 32),
    digest BLOB NOT NULL UNIQUE CHECK (length(digest) = 32)
) STRICT;
CREATE UNIQUE INDEX record_supersedes ON record (supersedes) WHERE supersedes IS NOT NULL;
CREATE INDEX record_type ON record (shaft_type, id) WHERE shaft_type IS NOT NULL;
CREATE INDEX record_length ON record (length_mm) WHERE length_mm IS NOT NULL;
CREATE INDEX record_diameter ON record (outer_diameter_mm) WHERE outer_diameter_mm IS NOT NULL;

-- Every file's bytes once, by digest.
CREATE TABLE content (
    id INTEGER PRIMARY KEY,
    digest BLOB NOT NULL UNIQUE CHECK (length(digest) = 32),
    bytes BLOB NOT NULL
) STRICT;

CREATE TABLE file (
    record INTEGER NOT NULL REFERENCES record (id),
    place INTEGER NOT NULL,
    role TEXT NOT NULL CHECK (role IN ('input', 'result', 'report', 'attachment', 'answers')),
    name TEXT NOT NULL,
    content INTEGER NOT NULL REFERENCES content (id),
    PRIMARY KEY (record, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX file_content ON file (content);

-- The words of every record; its row is the record's id.
CREATE VIRTUAL TABLE search USING fts5 (
    words, content = '', prefix = '2 3', tokenize = "unicode61 remove_diacritics 2"
);

CREATE TRIGGER record_is_never_changed BEFORE UPDATE ON record
BEGIN SELECT RAISE (ABORT, 'a record is never changed, only superseded'); END;
CREATE TRIGGER record_is_never_deleted BEFORE DELETE ON record
BEGIN SELECT RAISE (ABORT, 'a record is never deleted, only superseded'); END;
CREATE TRIGGER content_is_never_changed BEFORE UPDATE ON content
BEGIN SELECT RAISE (ABORT, 'a stored file is never changed'); END;
CREATE TRIGGER content_is_never_deleted BEFORE DELETE ON content
BEGIN SELECT RAISE (ABORT, 'a stored file is never deleted'); END;
CREATE TRIGGER file_is_never_changed BEFORE UPDATE ON file
BEGIN SELECT RAISE (ABORT, 'a record is never changed, only superseded'); END;
CREATE TRIGGER file_is_never_deleted BEFORE DELETE ON file
BEGIN SELECT RAISE (ABORT, 'a record is never deleted, only superseded'); END;
