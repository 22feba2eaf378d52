-- Schema 2: each entry carries a checksum, and a sequence of the device it was
-- written on. What follows in migrate.rs brings the entries over and seals them.
-- Never edited once released; a change is a new numbered file.

DROP TRIGGER entry_is_never_changed;
DROP TRIGGER entry_is_never_deleted;
DROP TRIGGER entry_is_never_replaced;
DROP INDEX entry_by_bin;
DROP INDEX entry_by_kind;
ALTER TABLE entry RENAME TO entry_of_schema_1;

-- device, sequence: the log it was first written in, and its place there: 1, 2, 3, ...
-- once: the one-time key of the form that wrote it.
-- demo: 1 when written as part of the invented shelf.
-- checksum: CRC-32 over every other column (seal.rs).
CREATE TABLE entry (
    id                   INTEGER PRIMARY KEY AUTOINCREMENT CHECK (id > 0),
    device               TEXT    NOT NULL,
    sequence             INTEGER NOT NULL,
    once                 TEXT    NULL UNIQUE,
    demo                 INTEGER NOT NULL,
    checksum             INTEGER NOT NULL,
    bin                  INTEGER NULL,
    at_unix_seconds      INTEGER NOT NULL,
    zone                 TEXT    NOT NULL,
    written_unix_seconds INTEGER NOT NULL,
    kind                 TEXT    NOT NULL,
    engine_version       TEXT    NOT NULL,
    body                 TEXT    NOT NULL,
    UNIQUE (device, sequence)
) STRICT;

CREATE INDEX entry_by_bin ON entry (bin, id);
CREATE INDEX entry_by_kind ON entry (kind, id);

CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN
    SELECT RAISE(ABORT, 'the log is append-only: entries are never changed, write a correction instead');
END;

CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON entry
BEGIN
    SELECT RAISE(ABORT, 'the log is append-only: entries are never deleted, write a correction instead');
END;

-- INSERT OR REPLACE would delete without the trigger above being asked.
CREATE TRIGGER entry_is_never_replaced BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
  OR EXISTS (SELECT 1 FROM entry WHERE device = NEW.device AND sequence = NEW.sequence)
  OR EXISTS (SELECT 1 FROM entry WHERE once = NEW.once)
BEGIN
    SELECT RAISE(ABORT, 'the log is append-only: entries are never replaced, write a correction instead');
END;

-- One row: the name new entries of this file go under, and the last sequence given.
CREATE TABLE this_log (
    one      INTEGER PRIMARY KEY CHECK (one = 1),
    device   TEXT    NOT NULL,
    sequence INTEGER NOT NULL
) STRICT;
INSERT INTO this_log VALUES (1, lower(hex(randomblob(16))), 0);

-- Sequences known to be lost for good, as a rescue found them.
CREATE TABLE lost (
    device TEXT    NOT NULL,
    first  INTEGER NOT NULL,
    last   INTEGER NOT NULL
) STRICT;
