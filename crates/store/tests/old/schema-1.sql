-- A log of schema 1 with one entry of each kind that holds no amount.
-- Kept for ever: every later version must open it (tests/upgrades.rs).

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

INSERT INTO entry VALUES (1, 1, 1760000000, 'Europe/Paris', 1760000005, 'bin',
    '{"kind":"bin","name":"North","length_cm":60.0,"width_cm":40.5,"depth_cm":30.0,"bedding_depth_cm":20.0,"walls":"wood","lid":"vented","drains":true,"place":"cellar","retired":false}', '0.1.0');
INSERT INTO entry VALUES (2, 1, 1760000010, 'Europe/Paris', 1760000015, 'reading',
    '{"kind":"reading","what":"ph","spots":[6.1,6.35,5.9],"instrument":"pen_cheap","place":"spread","text":"","confirmed":false}', '0.1.0');
INSERT INTO entry VALUES (3, 1, 1760000020, 'Europe/Paris', 1760000025, 'observation',
    '{"kind":"observation","words":["smell_earthy","worms_spread"],"text":"déjà vu, \"quoted\""}', '0.1.0');
INSERT INTO entry VALUES (4, 1, 1760000030, 'Europe/Paris', 1760000035, 'worms_in',
    '{"kind":"worms_in","grams":250.0,"count":null}', '0.1.0');
INSERT INTO entry VALUES (5, 1, 1760000040, 'Europe/Paris', 1760000045, 'worm_count',
    '{"kind":"worm_count","found":31.0,"litres_searched":1.5}', '0.1.0');
INSERT INTO entry VALUES (6, NULL, 1760000050, 'Europe/Paris', 1760000055, 'setting',
    '{"kind":"setting","name":"display","value":"metric"}', '0.1.0');
INSERT INTO entry VALUES (7, NULL, 1760000060, 'Europe/Paris', 1760000065, 'shed',
    '{"kind":"shed","material":"limestone_calcitic","called":"garden lime","available":null,"have":true,"own":{"neutralising_percent":92.5}}', '0.1.0');
INSERT INTO entry VALUES (8, 1, 1760000070, 'Europe/Paris', 1760000075, 'jar_test',
    '{"kind":"jar_test","wet_bedding_grams":100.0,"material":"limestone_calcitic","hours":48.0,"instrument":"pen_cheap","jars":[{"grams":0.0,"ph":4.9},{"grams":0.5,"ph":5.8},{"grams":1.0,"ph":6.6}]}', '0.1.0');
INSERT INTO entry VALUES (9, 1, 1760000080, 'Europe/Paris', 1760000085, 'tray_test',
    '{"kind":"tray_test","worms":10,"in_suspect":3,"in_trusted":6,"dead_or_missing":1,"hours":24.0}', '0.1.0');
INSERT INTO entry VALUES (10, 1, 1760000090, 'Europe/Paris', 1760000095, 'move',
    '{"kind":"move","place":"shed, out of the sun"}', '0.1.0');
INSERT INTO entry VALUES (11, 1, 1760000100, 'Europe/Paris', 1760000105, 'turned',
    '{"kind":"turned"}', '0.1.0');
INSERT INTO entry VALUES (12, 1, 1760000110, 'Europe/Paris', 1760000115, 'note',
    '{"kind":"note","text":"two\nlines"}', '0.1.0');
INSERT INTO entry VALUES (13, 1, 1760000120, 'Europe/Paris', 1760000125, 'correction',
    '{"kind":"correction","corrects":2,"replacement":{"kind":"reading","what":"ph","spots":[6.1,6.35,6.9],"instrument":"pen_cheap","place":"spread","text":"","confirmed":true},"at_unix_seconds":1760000005,"reason":"misread"}', '0.1.0');
INSERT INTO entry VALUES (14, 2, 1760000130, 'Europe/Paris', 1760000135, 'bin',
    '{"kind":"bin","name":"South","length_cm":45.0,"width_cm":45.0,"depth_cm":25.0,"bedding_depth_cm":null,"walls":"foam","lid":"cover","drains":false,"place":"","retired":true}', '0.1.0');

PRAGMA application_id = 1113018964;
PRAGMA user_version = 1;
