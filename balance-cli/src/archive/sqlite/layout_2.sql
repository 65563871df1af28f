-- Layout 2: files are kept packed where that saves room. Never edit a layout that was released: add the next one.
--
-- `digest` stays that of the plain bytes. Where `size` and `packed` are NULL, `bytes` are the plain bytes; otherwise they
-- are one frame of Zstandard (RFC 8878) that unpacks to `size` bytes, and `packed` is the SHA-256 of the frame.
ALTER TABLE content ADD COLUMN size INTEGER CHECK (size > 0);
ALTER TABLE content ADD COLUMN packed BLOB CHECK (length(packed) = 32);

-- What packed files have in common. Every frame names the dictionary it needs by this id.
CREATE TABLE dictionary (id INTEGER PRIMARY KEY, bytes BLOB NOT NULL) STRICT;
CREATE TRIGGER dictionary_is_never_changed BEFORE UPDATE ON dictionary
BEGIN SELECT RAISE (ABORT, 'the dictionary of packed files is never changed'); END;
CREATE TRIGGER dictionary_is_never_deleted BEFORE DELETE ON dictionary
BEGIN SELECT RAISE (ABORT, 'the dictionary of packed files is never deleted'); END;

-- Files that are there are packed next; then the guard is put back (layout_2_guard.sql).
DROP TRIGGER content_is_never_changed;
