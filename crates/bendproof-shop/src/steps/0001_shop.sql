-- Events are the record; document and current_value are projections of them,
-- kept in the same transaction so that lists need no fold.

CREATE TABLE document (
    subject       TEXT   NOT NULL CHECK (subject IN ('coupon', 'person')),
    id            TEXT   NOT NULL,
    version       BIGINT NOT NULL CHECK (version >= 1),
    created_at_ms BIGINT NOT NULL,
    created_by    TEXT   NOT NULL,
    changed_at_ms BIGINT NOT NULL,
    changed_by    TEXT   NOT NULL,
    PRIMARY KEY (subject, id)
);

CREATE TABLE event (
    seq        BIGINT NOT NULL PRIMARY KEY CHECK (seq >= 1),
    subject    TEXT   NOT NULL,
    subject_id TEXT   NOT NULL,
    version    BIGINT NOT NULL CHECK (version >= 1),
    at_ms      BIGINT NOT NULL,
    who        TEXT   NOT NULL,
    kind       TEXT   NOT NULL CHECK (kind IN ('create', 'change', 'undo', 'redo')),
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

CREATE TABLE event_change (
    seq          BIGINT NOT NULL REFERENCES event (seq),
    ordinal      BIGINT NOT NULL CHECK (ordinal >= 0),
    path         TEXT   NOT NULL,
    before_value TEXT,
    after_value  TEXT,
    PRIMARY KEY (seq, ordinal),
    UNIQUE (seq, path)
);

CREATE TABLE current_value (
    subject TEXT NOT NULL,
    id      TEXT NOT NULL,
    path    TEXT NOT NULL,
    value   TEXT NOT NULL,
    PRIMARY KEY (subject, id, path),
    FOREIGN KEY (subject, id) REFERENCES document (subject, id)
);

-- "This shop's own plates" asks for the same few paths of every coupon.
CREATE INDEX current_value_by_path ON current_value (subject, path);

CREATE TABLE counter (
    name  TEXT   NOT NULL PRIMARY KEY,
    value BIGINT NOT NULL CHECK (value >= 0)
);
