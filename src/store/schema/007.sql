-- Schema 7: what the engine says of one wick's readings is kept too (kind 'look', src/learn/look.h). DERIVED:
-- what was kept before came from another method and would never be found again.
DROP TABLE kept;
CREATE TABLE kept (
    id         TEXT NOT NULL PRIMARY KEY,
    kind       TEXT NOT NULL CHECK (kind IN ('belief', 'look', 'odds')),
    recipe_id  TEXT NOT NULL REFERENCES recipe (id),
    engine     TEXT NOT NULL,
    tables     TEXT NOT NULL,
    about      TEXT NOT NULL,  -- of a look the wick: rows about the same thing make room for each other
    seed       INTEGER NOT NULL,
    inputs     TEXT NOT NULL,
    body       BLOB NOT NULL,  -- numbers, eight bytes each, lowest first, and their hash (src/base/pack.h)
    created_ms INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX kept_by ON kept (inputs, kind, engine, tables, seed);
CREATE INDEX kept_of ON kept (recipe_id, kind, about, created_ms);
