-- Procedures and issued records stand beside coupons and people. SQLite cannot
-- widen a CHECK in place, so the table is made anew under its own name; events
-- and values refer to it by name, and the references are checked at the commit.

PRAGMA defer_foreign_keys = ON;

CREATE TEMP TABLE document_kept AS SELECT * FROM document;

DROP TABLE document;

CREATE TABLE document (
    subject       TEXT   NOT NULL CHECK (subject IN ('coupon', 'person', 'procedure', 'record')),
    id            TEXT   NOT NULL,
    version       BIGINT NOT NULL CHECK (version >= 1),
    created_at_ms BIGINT NOT NULL,
    created_by    TEXT   NOT NULL,
    changed_at_ms BIGINT NOT NULL,
    changed_by    TEXT   NOT NULL,
    PRIMARY KEY (subject, id)
);

INSERT INTO document
    (subject, id, version, created_at_ms, created_by, changed_at_ms, changed_by)
SELECT subject, id, version, created_at_ms, created_by, changed_at_ms, changed_by
FROM document_kept;

DROP TABLE document_kept;
