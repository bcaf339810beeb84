-- Schema 5: photos of candles, taken in a burn session.

-- ENDURING: when one was taken, of what. The picture itself stands in photo_image, so that lists of
-- photos do not touch it.
CREATE TABLE photo (
    id         TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    session_id TEXT NOT NULL,
    candle_id  TEXT NOT NULL,
    reading_id TEXT REFERENCES reading (id),  -- the reading it shows; NULL = none in particular
    minute     REAL NOT NULL CHECK (minute BETWEEN 0 AND 100000),  -- since lighting
    at_ms      INTEGER NOT NULL,
    width_px   INTEGER NOT NULL CHECK (width_px BETWEEN 1 AND 1600),
    height_px  INTEGER NOT NULL CHECK (height_px BETWEEN 1 AND 1600),
    bytes      INTEGER NOT NULL CHECK (bytes BETWEEN 4 AND 2097152),  -- of the picture
    alt        TEXT CHECK (length(alt) BETWEEN 1 AND 300),  -- what it shows, for who cannot see it
    created_ms INTEGER NOT NULL,
    FOREIGN KEY (session_id, candle_id) REFERENCES session_candle (session_id, candle_id)
) STRICT;
CREATE INDEX photo_of_session ON photo (session_id, minute);
CREATE INDEX photo_of_candle ON photo (candle_id, at_ms);

-- ENDURING: JPEG, made anew from what was sent: upright, at most 1600 pixels, without metadata; and the
-- same at most 320 pixels, for lists.
CREATE TABLE photo_image (
    photo_id TEXT NOT NULL PRIMARY KEY REFERENCES photo (id),
    jpeg     BLOB NOT NULL,
    small    BLOB NOT NULL
) STRICT;

-- ENDURING: corrections. A photo taken out is not shown any more; a description given later holds over
-- the one before it.
CREATE TABLE photo_mark (
    seq      INTEGER NOT NULL PRIMARY KEY,
    photo_id TEXT NOT NULL REFERENCES photo (id),
    kind     TEXT NOT NULL CHECK (kind IN ('taken_out', 'described')),
    text     TEXT CHECK (length(text) BETWEEN 1 AND 300),  -- why, or what it shows
    at_ms    INTEGER NOT NULL
) STRICT;
CREATE INDEX photo_mark_of ON photo_mark (photo_id, seq);
CREATE UNIQUE INDEX photo_mark_once ON photo_mark (photo_id) WHERE kind = 'taken_out';

-- Photos as they stand now.
CREATE VIEW photo_now AS
    SELECT p.id, p.session_id, p.candle_id, p.reading_id, p.minute, p.at_ms, p.width_px, p.height_px, p.bytes,
        p.created_ms,
        coalesce((SELECT m.text FROM photo_mark m WHERE m.photo_id = p.id AND m.kind = 'described'
                  ORDER BY m.seq DESC LIMIT 1), p.alt) AS alt
    FROM photo p
    WHERE NOT EXISTS (SELECT 1 FROM photo_mark m WHERE m.photo_id = p.id AND m.kind = 'taken_out');

CREATE TRIGGER photo_keep_u BEFORE UPDATE ON photo BEGIN SELECT raise(ABORT, 'a photo is never changed: describe it anew or take it out'); END;
CREATE TRIGGER photo_keep_d BEFORE DELETE ON photo BEGIN SELECT raise(ABORT, 'a photo is never removed: take it out'); END;
CREATE TRIGGER photo_image_keep_u BEFORE UPDATE ON photo_image BEGIN SELECT raise(ABORT, 'a picture is never changed: take the photo out'); END;
CREATE TRIGGER photo_image_keep_d BEFORE DELETE ON photo_image BEGIN SELECT raise(ABORT, 'a picture is never removed: take the photo out'); END;
CREATE TRIGGER photo_mark_keep_u BEFORE UPDATE ON photo_mark BEGIN SELECT raise(ABORT, 'what became of a photo is never changed'); END;
CREATE TRIGGER photo_mark_keep_d BEFORE DELETE ON photo_mark BEGIN SELECT raise(ABORT, 'what became of a photo is never removed'); END;
