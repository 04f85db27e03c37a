-- A stamp is an event of its own kind. SQLite cannot widen a CHECK in place, so
-- the table is made anew under its own name; the changes refer to it by name,
-- and the references are checked at the commit. Its triggers go with it and are
-- made anew with it.

PRAGMA defer_foreign_keys = ON;

CREATE TEMP TABLE event_kept AS SELECT * FROM event;

DROP TABLE event;

CREATE TABLE event (
    seq        BIGINT NOT NULL PRIMARY KEY CHECK (seq >= 1),
    subject    TEXT   NOT NULL,
    subject_id TEXT   NOT NULL,
    version    BIGINT NOT NULL CHECK (version >= 1),
    at_ms      BIGINT NOT NULL,
    who        TEXT   NOT NULL,
    kind       TEXT   NOT NULL CHECK (kind IN ('create', 'change', 'undo', 'redo', 'stamp')),
    reverses   BIGINT,
    note       TEXT,
    token      TEXT,
    prev_hash  TEXT   NOT NULL UNIQUE,
    hash       TEXT   NOT NULL UNIQUE,
    UNIQUE (subject, subject_id, version),
    UNIQUE (subject, subject_id, token),
    FOREIGN KEY (subject, subject_id) REFERENCES document (subject, id),
    CHECK ((kind = 'create') = (version = 1)),
    CHECK ((kind IN ('undo', 'redo')) = (reverses IS NOT NULL)),
    CHECK (reverses IS NULL OR reverses < version)
);

INSERT INTO event
    (seq, subject, subject_id, version, at_ms, who, kind, reverses, note, token, prev_hash, hash)
SELECT seq, subject, subject_id, version, at_ms, who, kind, reverses, note, token, prev_hash, hash
FROM event_kept ORDER BY seq;

DROP TABLE event_kept;

CREATE TRIGGER event_never_changes BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;

CREATE TRIGGER event_never_goes BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;
