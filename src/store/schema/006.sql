-- Schema 6: answers that cost much to work out, kept until something they rest on changes. DERIVED: all
-- of it can be dropped. `inputs` is a hash over everything the answer rests on; a row whose hash is no
-- longer asked for is never found again, and old ones make room for new ones. Beliefs written down as text
-- (schema 3) were never read again.
DROP TABLE belief;
CREATE TABLE kept (
    id         TEXT NOT NULL PRIMARY KEY,
    kind       TEXT NOT NULL CHECK (kind IN ('belief', 'odds')),
    recipe_id  TEXT NOT NULL REFERENCES recipe (id),
    engine     TEXT NOT NULL,
    tables     TEXT NOT NULL,
    seed       INTEGER NOT NULL,
    inputs     TEXT NOT NULL,
    body       BLOB NOT NULL,  -- numbers, eight bytes each, lowest first, and their hash (src/base/pack.h)
    created_ms INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX kept_by ON kept (inputs, kind, engine, tables, seed);
CREATE INDEX kept_of ON kept (recipe_id, kind, created_ms);
