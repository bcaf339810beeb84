-- Schema 3: what was believed of materials, as worked out from the readings. DERIVED: it can be dropped
-- and is believed again by rebuild. Which engine, tables and seed it came from stands with it.
CREATE TABLE belief (
    id         TEXT NOT NULL PRIMARY KEY,
    recipe_id  TEXT NOT NULL REFERENCES recipe (id),
    revision   INTEGER NOT NULL CHECK (revision >= 1),
    engine     TEXT NOT NULL,
    tables     TEXT NOT NULL,
    seed       INTEGER NOT NULL,
    body       TEXT NOT NULL,  -- JSON: prior against now, burns, misfits, doubts, diagnostics
    created_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX belief_of ON belief (recipe_id, created_ms);
