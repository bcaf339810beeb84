-- Schema 2: vessels that are not round, and where wicks stand.

-- Outline seen from above; inner_diameter_mm of the stations is then the longer inner side.
ALTER TABLE container ADD COLUMN outline TEXT NOT NULL DEFAULT 'round'
    CHECK (outline IN ('round', 'rectangle', 'oval'));
ALTER TABLE container ADD COLUMN across_frac REAL NOT NULL DEFAULT 1
    CHECK (across_frac BETWEEN 0.2499 AND 1.0001);  -- shorter over longer inner side
ALTER TABLE container ADD COLUMN corner_frac REAL NOT NULL DEFAULT 0
    CHECK (corner_frac BETWEEN 0 AND 1.0001);       -- corner radius over half the shorter side

-- Where the wicks of a revision stand, from the centre, x along the longer side; no rows = equal
-- shares of the plan.
CREATE TABLE revision_place (
    revision_id TEXT NOT NULL REFERENCES revision (id),
    position    INTEGER NOT NULL CHECK (position BETWEEN 1 AND 6),
    x_mm        REAL NOT NULL CHECK (x_mm BETWEEN -200 AND 200),
    y_mm        REAL NOT NULL CHECK (y_mm BETWEEN -200 AND 200),
    PRIMARY KEY (revision_id, position)
) STRICT;
CREATE TRIGGER revision_place_keep_u BEFORE UPDATE ON revision_place BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE TRIGGER revision_place_keep_d BEFORE DELETE ON revision_place BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
