-- Schema 8: two readings of one moment that do not agree, and which of them the maker kept.

-- ENDURING: of two readings of the same candle, kind and minute the maker keeps one; the other gives way to it, as if
-- corrected by it. Neither row changes.
CREATE TABLE reading_settled (
    reading_id TEXT NOT NULL PRIMARY KEY REFERENCES reading (id),  -- that holds no more
    kept_id    TEXT NOT NULL REFERENCES reading (id),              -- that was kept
    at_ms      INTEGER NOT NULL,
    CONSTRAINT "kept: not itself" CHECK (kept_id <> reading_id)
) STRICT;
CREATE TRIGGER reading_settled_keep_u BEFORE UPDATE ON reading_settled BEGIN SELECT raise(ABORT, 'which reading was kept is never changed: add a correction'); END;
CREATE TRIGGER reading_settled_keep_d BEFORE DELETE ON reading_settled BEGIN SELECT raise(ABORT, 'which reading was kept is never removed: add a correction'); END;

-- Readings that hold: the last of each chain of corrections, but for those that gave way to another.
DROP VIEW reading_now;
CREATE VIEW reading_now AS
SELECT r.id, r.session_id, r.candle_id, r.kind, r.unit, r.value, r.minute, r.at_ms, r.corrects, r.note,
       r.created_ms
FROM reading r WHERE NOT EXISTS (SELECT 1 FROM reading n WHERE n.corrects = r.id)
    AND NOT EXISTS (SELECT 1 FROM reading_settled t WHERE t.reading_id = r.id);
