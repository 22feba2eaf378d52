-- Schema 1: one table of entries, append-only.
-- Never edited once released; a change is a new numbered file.

CREATE TABLE entry (
    id                   INTEGER PRIMARY KEY AUTOINCREMENT CHECK (id > 0),
    bin                  INTEGER NULL CHECK (bin > 0),
    at_unix_seconds      INTEGER NOT NULL,
    zone                 TEXT    NOT NULL,
    written_unix_seconds INTEGER NOT NULL,
    kind                 TEXT    NOT NULL,
    body                 TEXT    NOT NULL,
    engine_version       TEXT    NOT NULL,
    CHECK (json_valid(body) AND kind IS json_extract(body, '$.kind'))
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
BEGIN
    SELECT RAISE(ABORT, 'the log is append-only: entries are never replaced, write a correction instead');
END;
