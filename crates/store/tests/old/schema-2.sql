-- A log of schema 2: that of schema 1 sealed, and an entry from a form in the demo.
-- Kept for ever: every later version must open it (tests/upgrades.rs).
-- The checksums are worked out by other means than the store's own.

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
INSERT INTO this_log VALUES (1, '00112233445566778899aabbccddeeff', 15);

-- Sequences known to be lost for good, as a rescue found them.
CREATE TABLE lost (
    device TEXT    NOT NULL,
    first  INTEGER NOT NULL,
    last   INTEGER NOT NULL
) STRICT;

INSERT INTO entry VALUES (1, '00112233445566778899aabbccddeeff', 1, NULL, 0, 1213907652, 1, 1760000000, 'Europe/Paris', 1760000005, 'bin', '0.1.0',
    '{"kind":"bin","name":"North","length_cm":60.0,"width_cm":40.5,"depth_cm":30.0,"bedding_depth_cm":20.0,"walls":"wood","lid":"vented","drains":true,"place":"cellar","retired":false}');
INSERT INTO entry VALUES (2, '00112233445566778899aabbccddeeff', 2, NULL, 0, 856980240, 1, 1760000010, 'Europe/Paris', 1760000015, 'reading', '0.1.0',
    '{"kind":"reading","what":"ph","spots":[6.1,6.35,5.9],"instrument":"pen_cheap","place":"spread","text":"","confirmed":false}');
INSERT INTO entry VALUES (3, '00112233445566778899aabbccddeeff', 3, NULL, 0, 3229688195, 1, 1760000020, 'Europe/Paris', 1760000025, 'observation', '0.1.0',
    '{"kind":"observation","words":["smell_earthy","worms_spread"],"text":"déjà vu, \"quoted\""}');
INSERT INTO entry VALUES (4, '00112233445566778899aabbccddeeff', 4, NULL, 0, 3790464622, 1, 1760000030, 'Europe/Paris', 1760000035, 'worms_in', '0.1.0',
    '{"kind":"worms_in","grams":250.0,"count":null}');
INSERT INTO entry VALUES (5, '00112233445566778899aabbccddeeff', 5, NULL, 0, 134317822, 1, 1760000040, 'Europe/Paris', 1760000045, 'worm_count', '0.1.0',
    '{"kind":"worm_count","found":31.0,"litres_searched":1.5}');
INSERT INTO entry VALUES (6, '00112233445566778899aabbccddeeff', 6, NULL, 0, 735169475, NULL, 1760000050, 'Europe/Paris', 1760000055, 'setting', '0.1.0',
    '{"kind":"setting","name":"display","value":"metric"}');
INSERT INTO entry VALUES (7, '00112233445566778899aabbccddeeff', 7, NULL, 0, 3731125535, NULL, 1760000060, 'Europe/Paris', 1760000065, 'shed', '0.1.0',
    '{"kind":"shed","material":"limestone_calcitic","called":"garden lime","available":null,"have":true,"own":{"neutralising_percent":92.5}}');
INSERT INTO entry VALUES (8, '00112233445566778899aabbccddeeff', 8, NULL, 0, 4213722112, 1, 1760000070, 'Europe/Paris', 1760000075, 'jar_test', '0.1.0',
    '{"kind":"jar_test","wet_bedding_grams":100.0,"material":"limestone_calcitic","hours":48.0,"instrument":"pen_cheap","jars":[{"grams":0.0,"ph":4.9},{"grams":0.5,"ph":5.8},{"grams":1.0,"ph":6.6}]}');
INSERT INTO entry VALUES (9, '00112233445566778899aabbccddeeff', 9, NULL, 0, 687198783, 1, 1760000080, 'Europe/Paris', 1760000085, 'tray_test', '0.1.0',
    '{"kind":"tray_test","worms":10,"in_suspect":3,"in_trusted":6,"dead_or_missing":1,"hours":24.0}');
INSERT INTO entry VALUES (10, '00112233445566778899aabbccddeeff', 10, NULL, 0, 1103276433, 1, 1760000090, 'Europe/Paris', 1760000095, 'move', '0.1.0',
    '{"kind":"move","place":"shed, out of the sun"}');
INSERT INTO entry VALUES (11, '00112233445566778899aabbccddeeff', 11, NULL, 0, 1856085187, 1, 1760000100, 'Europe/Paris', 1760000105, 'turned', '0.1.0',
    '{"kind":"turned"}');
INSERT INTO entry VALUES (12, '00112233445566778899aabbccddeeff', 12, NULL, 0, 4084923750, 1, 1760000110, 'Europe/Paris', 1760000115, 'note', '0.1.0',
    '{"kind":"note","text":"two\nlines"}');
INSERT INTO entry VALUES (13, '00112233445566778899aabbccddeeff', 13, NULL, 0, 349779810, 1, 1760000120, 'Europe/Paris', 1760000125, 'correction', '0.1.0',
    '{"kind":"correction","corrects":2,"replacement":{"kind":"reading","what":"ph","spots":[6.1,6.35,6.9],"instrument":"pen_cheap","place":"spread","text":"","confirmed":true},"at_unix_seconds":1760000005,"reason":"misread"}');
INSERT INTO entry VALUES (14, '00112233445566778899aabbccddeeff', 14, NULL, 0, 1512990310, 2, 1760000130, 'Europe/Paris', 1760000135, 'bin', '0.1.0',
    '{"kind":"bin","name":"South","length_cm":45.0,"width_cm":45.0,"depth_cm":25.0,"bedding_depth_cm":null,"walls":"foam","lid":"cover","drains":false,"place":"","retired":true}');
INSERT INTO entry VALUES (15, '00112233445566778899aabbccddeeff', 15, 'key-1', 1, 2669819121, NULL, 1760000140, 'UTC', 1760000145, 'note', '0.1.0',
    '{"kind":"note","text":"from a form, in the demo"}');

INSERT INTO lost VALUES ('ffeeddccbbaa99887766554433221100', 3, 4);

PRAGMA application_id = 1113018964;
PRAGMA user_version = 2;
