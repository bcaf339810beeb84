PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE material (
    id         TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    kind       TEXT NOT NULL CHECK (kind IN ('wax', 'fragrance', 'dye', 'additive', 'container', 'wick')),
    name       TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 79),
    based_on   TEXT REFERENCES material (id),  -- built-in material its properties start from; NULL = is one
    created_ms INTEGER NOT NULL
) STRICT;
INSERT INTO material VALUES('std-wax-a','wax','built-in wax',NULL,1);
INSERT INTO material VALUES('std-fragrance-a','fragrance','built-in fragrance',NULL,1);
INSERT INTO material VALUES('std-dye-a','dye','built-in dye',NULL,1);
INSERT INTO material VALUES('std-container-a','container','built-in glass',NULL,1);
INSERT INTO material VALUES('std-wick-a','wick','built-in braid',NULL,1);
INSERT INTO material VALUES('own-wax-1','wax','own wax','std-wax-a',2);
CREATE TABLE material_prop (
    seq         INTEGER NOT NULL PRIMARY KEY,
    material_id TEXT NOT NULL REFERENCES material (id),
    key         TEXT NOT NULL,                -- as in the property tables, e.g. liquidus
    unit        TEXT NOT NULL,                -- of value, lo and hi, e.g. C
    value       REAL NOT NULL,
    lo          REAL NOT NULL,                -- plausible envelope, about 90 %
    hi          REAL NOT NULL,
    how         TEXT NOT NULL CHECK (how IN ('measured', 'read', 'derived', 'sheet', 'practice', 'memory')),
    source      TEXT NOT NULL,                -- data sheet, instrument; may be ''
    set_ms      INTEGER NOT NULL,
    CONSTRAINT "value between lo and hi" CHECK (lo <= value AND value <= hi)
) STRICT;
INSERT INTO material_prop VALUES(1,'own-wax-1','liquidus','C',52.0,50.0,54.0,'sheet','sheet of spring',3);
CREATE TABLE wick_series (
    id              TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    name            TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 79),
    construction_id TEXT NOT NULL REFERENCES material (id),
    created_ms      INTEGER NOT NULL
) STRICT;
INSERT INTO wick_series VALUES('series-1','own braid','std-wick-a',4);
CREATE TABLE wick_size (
    id                 TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    series_id          TEXT NOT NULL REFERENCES wick_series (id),
    position           INTEGER NOT NULL CHECK (position BETWEEN 1 AND 24),
    name               TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 39),  -- the maker's own
    linear_density_g_m REAL NOT NULL CHECK (linear_density_g_m BETWEEN 0.0999 AND 20.001),
    width_mm           REAL CHECK (width_mm BETWEEN 0.05 AND 60.001),     -- flat, wooden; or diameter
    thickness_mm       REAL CHECK (thickness_mm BETWEEN 0.02 AND 20.001), -- flat, wooden
    core_mm            REAL CHECK (core_mm BETWEEN 0.02 AND 5.001),       -- diameter of a metal core
    UNIQUE (series_id, position),
    UNIQUE (series_id, name)
) STRICT;
INSERT INTO wick_size VALUES('size-1','series-1',1,'1',0.9000000000000000222,NULL,NULL,NULL);
INSERT INTO wick_size VALUES('size-2','series-1',2,'2',1.1000000000000000888,2.3999999999999999111,0.8000000000000000444,0.4000000000000000222);
CREATE TABLE container (
    id              TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    name            TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 79),
    material_id     TEXT NOT NULL REFERENCES material (id),
    wall_mm         REAL NOT NULL CHECK (wall_mm BETWEEN 0.0999 AND 30.001),
    base_mm         REAL NOT NULL CHECK (base_mm BETWEEN 0.0999 AND 60.001),
    empty_mass_g    REAL CHECK (empty_mass_g BETWEEN 0.999 AND 10001),
    water_mass_g    REAL CHECK (water_mass_g BETWEEN 0.999 AND 20001),  -- water alone, weighed in air
    water_temp_C    REAL CHECK (water_temp_C BETWEEN -0.001 AND 40.001),
    water_height_mm REAL CHECK (water_height_mm BETWEEN 0.999 AND 400.001),  -- filled to; NULL = brim
    created_ms      INTEGER NOT NULL
, outline TEXT NOT NULL DEFAULT 'round'
    CHECK (outline IN ('round', 'rectangle', 'oval')), across_frac REAL NOT NULL DEFAULT 1
    CHECK (across_frac BETWEEN 0.2499 AND 1.0001), corner_frac REAL NOT NULL DEFAULT 0
    CHECK (corner_frac BETWEEN 0 AND 1.0001)) STRICT;
INSERT INTO container VALUES('jar-01','jar','std-container-a',3.0,5.0,280.0,245.0,20.0,NULL,5,'oval',0.8000000000000000444,0.0);
CREATE TABLE container_station (
    container_id      TEXT NOT NULL REFERENCES container (id),
    position          INTEGER NOT NULL CHECK (position BETWEEN 1 AND 32),
    height_mm         REAL NOT NULL CHECK (height_mm BETWEEN 0 AND 400.001),
    inner_diameter_mm REAL NOT NULL CHECK (inner_diameter_mm BETWEEN 14.999 AND 400.001),
    PRIMARY KEY (container_id, position)
) STRICT;
INSERT INTO container_station VALUES('jar-01',1,0.0,70.0);
INSERT INTO container_station VALUES('jar-01',2,90.0,74.0);
CREATE TABLE lot (
    id           TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    material_id  TEXT REFERENCES material (id),
    series_id    TEXT REFERENCES wick_series (id),
    container_id TEXT REFERENCES container (id),
    code         TEXT NOT NULL CHECK (length(code) BETWEEN 1 AND 79),
    received_ms  INTEGER,
    quantity_g   REAL CHECK (quantity_g BETWEEN 0 AND 1e7),
    note         TEXT,
    created_ms   INTEGER NOT NULL,
    CONSTRAINT "material: one thing a lot is of" CHECK (
        (material_id IS NOT NULL) + (series_id IS NOT NULL) + (container_id IS NOT NULL) = 1)
) STRICT;
INSERT INTO lot VALUES('lot-01','own-wax-1',NULL,NULL,'W-1',6,10000.0,'first',6);
CREATE TABLE archive_mark (
    seq        INTEGER NOT NULL PRIMARY KEY,
    thing_kind TEXT NOT NULL CHECK (thing_kind IN ('material', 'series', 'container', 'recipe')),
    thing_id   TEXT NOT NULL,
    archived   INTEGER NOT NULL CHECK (archived IN (0, 1)),
    at_ms      INTEGER NOT NULL
) STRICT;
INSERT INTO archive_mark VALUES(1,'container','jar-01',1,7);
INSERT INTO archive_mark VALUES(2,'container','jar-01',0,8);
CREATE TABLE recipe (
    id         TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    name       TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 79),
    created_ms INTEGER NOT NULL
) STRICT;
INSERT INTO recipe VALUES('recipe-1','fig',9);
CREATE TABLE revision (
    id              TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    recipe_id       TEXT NOT NULL REFERENCES recipe (id),
    number          INTEGER NOT NULL CHECK (number >= 1),
    container_id    TEXT NOT NULL REFERENCES container (id),
    fill_height_mm  REAL NOT NULL CHECK (fill_height_mm BETWEEN 0.999 AND 400.001),  -- cold wax above the floor
    fragrance_id    TEXT REFERENCES material (id),      -- NULL = unscented
    load_pct        REAL NOT NULL CHECK (load_pct BETWEEN 0 AND 30.001),  -- on load_basis
    load_basis      TEXT NOT NULL CHECK (load_basis IN ('of_wax', 'of_total')),
    dye_id          TEXT REFERENCES material (id),      -- NULL = undyed
    dye_of_wax_pct  REAL NOT NULL CHECK (dye_of_wax_pct BETWEEN 0 AND 5.001),
    series_id       TEXT NOT NULL REFERENCES wick_series (id),
    size_id         TEXT REFERENCES wick_size (id),     -- NULL = still to be found
    wick_count      INTEGER NOT NULL CHECK (wick_count BETWEEN 1 AND 6),
    trim_mm         REAL NOT NULL CHECK (trim_mm BETWEEN 0.999 AND 15.001),
    session_h       REAL NOT NULL CHECK (session_h BETWEEN 0.0999 AND 24.001),  -- lit time of one burn
    stop_height_mm  REAL NOT NULL CHECK (stop_height_mm BETWEEN 0 AND 100.001), -- wax left when to stop
    note            TEXT,
    created_ms      INTEGER NOT NULL,
    UNIQUE (recipe_id, number),
    CONSTRAINT "load without a fragrance" CHECK (fragrance_id IS NOT NULL OR load_pct = 0),
    CONSTRAINT "dye share without a dye" CHECK (dye_id IS NOT NULL OR dye_of_wax_pct = 0)
) STRICT;
INSERT INTO revision VALUES('rev-01','recipe-1',1,'jar-01',80.0,'std-fragrance-a',8.0,'of_wax','std-dye-a',0.10000000000000000555,'series-1',NULL,1,6.0,4.0,10.0,'first',10);
INSERT INTO revision VALUES('rev-02','recipe-1',2,'jar-01',80.0,'std-fragrance-a',8.0,'of_wax',NULL,0.0,'series-1','size-2',1,6.0,4.0,10.0,NULL,20);
CREATE TABLE revision_share (
    revision_id TEXT NOT NULL REFERENCES revision (id),
    role        TEXT NOT NULL CHECK (role IN ('wax', 'additive')),
    position    INTEGER NOT NULL CHECK (position BETWEEN 1 AND 8),
    material_id TEXT NOT NULL REFERENCES material (id),
    share_pct   REAL NOT NULL CHECK (share_pct BETWEEN 0 AND 100.001),
    PRIMARY KEY (revision_id, role, position),
    UNIQUE (revision_id, role, material_id)
) STRICT;
INSERT INTO revision_share VALUES('rev-01','wax',1,'own-wax-1',100.0);
INSERT INTO revision_share VALUES('rev-02','wax',1,'own-wax-1',80.0);
INSERT INTO revision_share VALUES('rev-02','wax',2,'std-wax-a',20.0);
CREATE TABLE pour (
    id                TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    revision_id       TEXT NOT NULL REFERENCES revision (id),
    poured_ms         INTEGER NOT NULL,
    wax_mass_g        REAL CHECK (wax_mass_g BETWEEN 0 AND 1e6),        -- whole pot
    fragrance_mass_g  REAL CHECK (fragrance_mass_g BETWEEN 0 AND 1e6),
    dye_mass_g        REAL CHECK (dye_mass_g BETWEEN 0 AND 1e5),
    wax_peak_C        REAL CHECK (wax_peak_C BETWEEN 20 AND 250),       -- hottest the wax was
    add_temp_C        REAL CHECK (add_temp_C BETWEEN 20 AND 200),       -- when the fragrance went in
    pour_temp_C       REAL CHECK (pour_temp_C BETWEEN 20 AND 200),
    vessel_temp_C     REAL CHECK (vessel_temp_C BETWEEN -20 AND 150),
    room_temp_C       REAL CHECK (room_temp_C BETWEEN -10 AND 50),
    humidity_pct      REAL CHECK (humidity_pct BETWEEN 0 AND 100),      -- relative
    load_of_wax_pct   REAL CHECK (load_of_wax_pct BETWEEN 0 AND 100),   -- from what was weighed
    cure_burn_ms      INTEGER NOT NULL,  -- when a burn test may begin, by the waxes as known at the pour
    cure_scent_ms     INTEGER NOT NULL,  -- when the scent may be judged
    planned_json      TEXT,              -- the weigh-out sheet as it stood, one JSON object
    note              TEXT,
    created_ms        INTEGER NOT NULL
) STRICT;
INSERT INTO pour VALUES('pour-1','rev-01',11,600.0,NULL,NULL,NULL,NULL,57.0,NULL,NULL,NULL,NULL,12,13,NULL,'cold room',11);
CREATE TABLE pour_lot (
    pour_id TEXT NOT NULL REFERENCES pour (id),
    lot_id  TEXT NOT NULL REFERENCES lot (id),
    PRIMARY KEY (pour_id, lot_id)
) STRICT;
INSERT INTO pour_lot VALUES('pour-1','lot-01');
CREATE TABLE candle (
    id         TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    pour_id    TEXT NOT NULL REFERENCES pour (id),
    position   INTEGER NOT NULL CHECK (position BETWEEN 1 AND 500),  -- within the pour
    code       TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(code) BETWEEN 3 AND 15),
    size_id    TEXT NOT NULL REFERENCES wick_size (id),
    wick_count INTEGER NOT NULL CHECK (wick_count BETWEEN 1 AND 6),
    wax_mass_g REAL CHECK (wax_mass_g BETWEEN 0.1 AND 20000),  -- fill of this candle
    UNIQUE (pour_id, position)
) STRICT;
INSERT INTO candle VALUES('candle-1','pour-1',1,'K7QF','size-1',1,300.0);
INSERT INTO candle VALUES('candle-2','pour-1',2,'M2XA','size-2',1,300.0);
CREATE TABLE candle_event (
    id        TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    candle_id TEXT NOT NULL REFERENCES candle (id),
    kind      TEXT NOT NULL CHECK (kind IN ('weigh', 'finish')),
    mass_g    REAL CHECK (mass_g BETWEEN 1 AND 20000),  -- container and all
    reason    TEXT CHECK (reason IN ('end', 'broken', 'given_up')),
    at_ms     INTEGER NOT NULL,
    note      TEXT,
    CONSTRAINT "mass: needed to weigh" CHECK (kind <> 'weigh' OR mass_g IS NOT NULL),
    CONSTRAINT "reason: needed to finish" CHECK (kind <> 'finish' OR reason IS NOT NULL)
) STRICT;
INSERT INTO candle_event VALUES('event-1','candle-1','weigh',580.0,NULL,12,NULL);
INSERT INTO candle_event VALUES('event-2','candle-2','finish',NULL,'broken',90,'dropped');
CREATE TABLE session (
    id          TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    lit_ms      INTEGER NOT NULL,
    planned_h   REAL NOT NULL CHECK (planned_h BETWEEN 0.0999 AND 24.001),
    room_temp_C REAL CHECK (room_temp_C BETWEEN -10 AND 50),
    draught     INTEGER CHECK (draught BETWEEN 0 AND 3),          -- 0 none, 3 strong
    trim_mm     REAL CHECK (trim_mm BETWEEN 0.999 AND 15.001),    -- wick length when lit
    created_ms  INTEGER NOT NULL
) STRICT;
INSERT INTO session VALUES('session-1',14,4.0,21.0,0,6.0,14);
CREATE TABLE session_candle (
    session_id  TEXT NOT NULL REFERENCES session (id),
    candle_id   TEXT NOT NULL REFERENCES candle (id),
    number      INTEGER NOT NULL CHECK (number >= 1),              -- 1, 2, ... of that candle
    before_g    REAL CHECK (before_g BETWEEN 1 AND 20000),         -- container and all
    before_cure INTEGER NOT NULL CHECK (before_cure IN (0, 1)),    -- lit before the cure was out
    before_rest INTEGER NOT NULL CHECK (before_rest IN (0, 1)),    -- lit before it had rested
    PRIMARY KEY (session_id, candle_id),
    UNIQUE (candle_id, number)
) STRICT;
INSERT INTO session_candle VALUES('session-1','candle-1',1,580.0,0,0);
INSERT INTO session_candle VALUES('session-1','candle-2',1,581.0,0,0);
CREATE TABLE session_end (
    session_id TEXT NOT NULL,
    candle_id  TEXT NOT NULL,
    at_ms      INTEGER NOT NULL,
    reason     TEXT NOT NULL CHECK (reason IN ('planned', 'went_out', 'stopped')),
    after_g    REAL CHECK (after_g BETWEEN 1 AND 20000),           -- container and all
    PRIMARY KEY (session_id, candle_id),
    FOREIGN KEY (session_id, candle_id) REFERENCES session_candle (session_id, candle_id)
) STRICT;
INSERT INTO session_end VALUES('session-1','candle-1',14400014,'planned',560.0);
CREATE TABLE reading (
    id         TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    session_id TEXT NOT NULL,
    candle_id  TEXT NOT NULL,
    kind       TEXT NOT NULL CHECK (length(kind) BETWEEN 2 AND 39),  -- as in the list of reading kinds
    unit       TEXT NOT NULL,                                        -- of value; '' for grades and yes/no
    value      REAL NOT NULL CHECK (value BETWEEN -1e6 AND 1e6),
    minute     REAL NOT NULL CHECK (minute BETWEEN 0 AND 100000),    -- since lighting; rest included
    at_ms      INTEGER NOT NULL,                                     -- when it was seen
    corrects   TEXT UNIQUE REFERENCES reading (id),
    note       TEXT,
    created_ms INTEGER NOT NULL,                                     -- when it was entered
    FOREIGN KEY (session_id, candle_id) REFERENCES session_candle (session_id, candle_id),
    CONSTRAINT "corrects: not itself" CHECK (corrects <> id)
) STRICT;
INSERT INTO reading VALUES('reading-1','session-1','candle-1','pool_wide','mm',45.0,60.0,3600014,NULL,NULL,3600014);
INSERT INTO reading VALUES('reading-2','session-1','candle-1','pool_wide','mm',54.0,60.0,3600014,'reading-1','misread',3700014);
INSERT INTO reading VALUES('reading-3','session-1','candle-1','pool_wide','mm',51.0,60.0,3600014,NULL,NULL,3800014);
CREATE TABLE decision (
    id                TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    recipe_id         TEXT NOT NULL REFERENCES recipe (id),
    revision_id       TEXT NOT NULL REFERENCES revision (id),  -- that was judged
    named_revision_id TEXT REFERENCES revision (id),           -- that followed and names the size
    size_id           TEXT NOT NULL REFERENCES wick_size (id),
    decision          TEXT NOT NULL CHECK (decision IN ('proven', 'rejected', 'reopened')),
    verdict_json      TEXT,                                    -- one JSON object
    note              TEXT,
    at_ms             INTEGER NOT NULL
) STRICT;
INSERT INTO decision VALUES('decision-1','recipe-1','rev-01','rev-02','size-2','proven','{"kind":"right"}',NULL,30);
CREATE TABLE limit_choice (
    seq   INTEGER NOT NULL PRIMARY KEY,
    key   TEXT NOT NULL,
    value REAL NOT NULL,
    unit  TEXT NOT NULL,
    at_ms INTEGER NOT NULL
) STRICT;
INSERT INTO limit_choice VALUES(1,'wall_temp_warn',58.0,'C',31);
CREATE TABLE setting (
    seq   INTEGER NOT NULL PRIMARY KEY,
    key   TEXT NOT NULL,
    value TEXT NOT NULL,
    at_ms INTEGER NOT NULL
) STRICT;
INSERT INTO setting VALUES(1,'units','us',32);
CREATE TABLE write_receipt (
    id       TEXT NOT NULL PRIMARY KEY,
    use_case TEXT NOT NULL,
    content  TEXT NOT NULL,  -- hash of what was asked
    answer   TEXT NOT NULL,  -- JSON
    at_ms    INTEGER NOT NULL
) STRICT;
INSERT INTO write_receipt VALUES('receipt-1','setting_set','0011','{}',33);
CREATE TABLE forecast (
    id          TEXT NOT NULL PRIMARY KEY,
    revision_id TEXT NOT NULL REFERENCES revision (id),
    size_id     TEXT REFERENCES wick_size (id),  -- NULL = the whole series
    kind        TEXT NOT NULL CHECK (kind IN ('forecast', 'odds', 'plan')),
    engine      TEXT NOT NULL,
    tables      TEXT NOT NULL,
    seed        INTEGER NOT NULL,
    members     INTEGER NOT NULL CHECK (members BETWEEN 0 AND 100000),
    inputs      TEXT NOT NULL,                   -- hash of everything else that went in
    body        TEXT NOT NULL,                   -- JSON
    created_ms  INTEGER NOT NULL
) STRICT;
INSERT INTO forecast VALUES('forecast-1','rev-01','size-1','forecast','0.1.0','tables-1',1,0,'aa','{}',34);
CREATE TABLE revision_place (
    revision_id TEXT NOT NULL REFERENCES revision (id),
    position    INTEGER NOT NULL CHECK (position BETWEEN 1 AND 6),
    x_mm        REAL NOT NULL CHECK (x_mm BETWEEN -200 AND 200),
    y_mm        REAL NOT NULL CHECK (y_mm BETWEEN -200 AND 200),
    PRIMARY KEY (revision_id, position)
) STRICT;
INSERT INTO revision_place VALUES('rev-01',1,12.5,0.0);
CREATE TABLE device_invite (
    id        TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    code_hash TEXT NOT NULL UNIQUE CHECK (length(code_hash) = 64),
    role      TEXT NOT NULL CHECK (role IN ('bench', 'all')),
    made_ms   INTEGER NOT NULL,
    until_ms  INTEGER NOT NULL CHECK (until_ms >= made_ms)
) STRICT;
INSERT INTO device_invite VALUES('invite-1','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','bench',36,120036);
CREATE TABLE device (
    id          TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    invite_id   TEXT NOT NULL UNIQUE REFERENCES device_invite (id),  -- a code works once
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
    ticket_hash TEXT NOT NULL UNIQUE CHECK (length(ticket_hash) = 64),
    number_hash TEXT NOT NULL CHECK (length(number_hash) = 64),
    asked_ms    INTEGER NOT NULL,
    until_ms    INTEGER NOT NULL CHECK (until_ms >= asked_ms)
) STRICT;
INSERT INTO device VALUES('device-1','invite-1','old phone','bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb','cccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccc',37,120037);
CREATE TABLE device_mark (
    seq       INTEGER NOT NULL PRIMARY KEY,
    device_id TEXT NOT NULL REFERENCES device (id),
    kind      TEXT NOT NULL CHECK (kind IN ('wrong_number', 'confirmed', 'revoked')),
    at_ms     INTEGER NOT NULL
) STRICT;
INSERT INTO device_mark VALUES(1,'device-1','wrong_number',38);
INSERT INTO device_mark VALUES(2,'device-1','confirmed',39);
CREATE TABLE device_token (
    seq        INTEGER NOT NULL PRIMARY KEY,
    device_id  TEXT NOT NULL REFERENCES device (id),
    token_hash TEXT NOT NULL UNIQUE CHECK (length(token_hash) = 64),
    at_ms      INTEGER NOT NULL
) STRICT;
INSERT INTO device_token VALUES(1,'device-1','dddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddd',40);
CREATE TABLE device_seen (
    device_id TEXT NOT NULL PRIMARY KEY REFERENCES device (id),
    at_ms     INTEGER NOT NULL
) STRICT;
INSERT INTO device_seen VALUES('device-1',41);
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
INSERT INTO photo VALUES('photo-1','session-1','candle-1','reading-2',60.0,3600014,640,480,4,'the pool',3600014);
INSERT INTO photo VALUES('photo-2','session-1','candle-2',NULL,61.0,3660014,640,480,4,NULL,3660014);
CREATE TABLE photo_image (
    photo_id TEXT NOT NULL PRIMARY KEY REFERENCES photo (id),
    jpeg     BLOB NOT NULL,
    small    BLOB NOT NULL
) STRICT;
INSERT INTO photo_image VALUES('photo-1',X'ffd8ffd9',X'ffd8ffd9');
INSERT INTO photo_image VALUES('photo-2',X'ffd8ffd9',X'ffd8ffd9');
CREATE TABLE photo_mark (
    seq      INTEGER NOT NULL PRIMARY KEY,
    photo_id TEXT NOT NULL REFERENCES photo (id),
    kind     TEXT NOT NULL CHECK (kind IN ('taken_out', 'described')),
    text     TEXT CHECK (length(text) BETWEEN 1 AND 300),  -- why, or what it shows
    at_ms    INTEGER NOT NULL
) STRICT;
INSERT INTO photo_mark VALUES(1,'photo-1','described','the pool at the wall',42);
INSERT INTO photo_mark VALUES(2,'photo-2','taken_out',NULL,43);
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
INSERT INTO kept VALUES('kept-1','look','recipe-1','0.1.0','tables-1','1 size-1',1,'bb',X'00',36);
CREATE TABLE reading_settled (
    reading_id TEXT NOT NULL PRIMARY KEY REFERENCES reading (id),  -- that holds no more
    kept_id    TEXT NOT NULL REFERENCES reading (id),              -- that was kept
    at_ms      INTEGER NOT NULL,
    CONSTRAINT "kept: not itself" CHECK (kept_id <> reading_id)
) STRICT;
INSERT INTO reading_settled VALUES('reading-3','reading-2',3900014);
CREATE INDEX material_prop_of ON material_prop (material_id, key, seq);
CREATE UNIQUE INDEX lot_code ON lot (coalesce(material_id, series_id, container_id), code);
CREATE INDEX archive_mark_of ON archive_mark (thing_id, seq);
CREATE INDEX pour_of ON pour (revision_id, poured_ms);
CREATE INDEX pour_lot_of ON pour_lot (lot_id);
CREATE INDEX candle_size ON candle (size_id);
CREATE INDEX candle_event_of ON candle_event (candle_id, at_ms, id);
CREATE UNIQUE INDEX candle_finish ON candle_event (candle_id) WHERE kind = 'finish';
CREATE INDEX session_lit ON session (lit_ms);
CREATE INDEX reading_of ON reading (candle_id, session_id, minute);
CREATE INDEX reading_session ON reading (session_id);
CREATE INDEX decision_of ON decision (recipe_id, at_ms);
CREATE INDEX limit_choice_of ON limit_choice (key, seq);
CREATE INDEX setting_of ON setting (key, seq);
CREATE INDEX write_receipt_age ON write_receipt (at_ms);
CREATE INDEX forecast_of ON forecast (revision_id, kind, created_ms);
CREATE INDEX reading_mass ON reading (candle_id, session_id, created_ms, id) WHERE kind = 'mass';
CREATE VIEW burn_now AS
SELECT b.session_id, b.candle_id, b.number, s.lit_ms, s.planned_h, s.room_temp_C, s.draught, s.trim_mm,
       b.before_cure, b.before_rest, e.at_ms AS end_ms, e.reason,
       coalesce((SELECT m.value FROM reading_now m
                 WHERE m.kind = 'mass' AND m.candle_id = b.candle_id AND m.session_id = b.session_id
                   AND m.minute <= 1 ORDER BY m.created_ms DESC, m.id DESC LIMIT 1), b.before_g) AS before_g,
       coalesce((SELECT m.value FROM reading_now m
                 WHERE m.kind = 'mass' AND m.candle_id = b.candle_id AND m.session_id = b.session_id
                   AND m.minute > 1 AND m.minute >= (e.at_ms - s.lit_ms) / 60000.0 - 1
                 ORDER BY m.created_ms DESC, m.id DESC LIMIT 1), e.after_g) AS after_g
FROM session_candle b JOIN session s ON s.id = b.session_id
LEFT JOIN session_end e ON e.session_id = b.session_id AND e.candle_id = b.candle_id;
CREATE VIEW candle_now AS
SELECT c.id, c.code, c.pour_id, c.position, c.size_id, z.name AS size_name, z.position AS size_position,
       c.wick_count, c.wax_mass_g, p.poured_ms, p.cure_burn_ms, r.id AS revision_id,
       r.number AS revision, r.recipe_id, q.name AS recipe_name, r.container_id, k.empty_mass_g,
       r.fill_height_mm, f.at_ms AS finish_ms, f.reason AS finish_reason,
       (SELECT count(*) FROM session_candle b WHERE b.candle_id = c.id) AS sessions,
       (SELECT total(b.end_ms - b.lit_ms) FROM burn_now b WHERE b.candle_id = c.id) AS burned_ms,
       (SELECT b.session_id FROM burn_now b WHERE b.candle_id = c.id AND b.end_ms IS NULL) AS open_session_id,
       (SELECT b.lit_ms FROM burn_now b WHERE b.candle_id = c.id AND b.end_ms IS NULL) AS open_lit_ms,
       (SELECT max(b.end_ms) FROM burn_now b WHERE b.candle_id = c.id) AS last_end_ms,
       coalesce((SELECT b.before_g FROM burn_now b WHERE b.candle_id = c.id AND b.number = 1),
                (SELECT v.mass_g FROM candle_event v WHERE v.candle_id = c.id AND v.mass_g IS NOT NULL
                   AND NOT EXISTS (SELECT 1 FROM burn_now b WHERE b.candle_id = c.id AND b.lit_ms < v.at_ms)
                 ORDER BY v.at_ms DESC, v.id DESC LIMIT 1)) AS first_mass_g,
       (SELECT coalesce(b.after_g, b.before_g) FROM burn_now b
        WHERE b.candle_id = c.id AND coalesce(b.after_g, b.before_g) IS NOT NULL
        ORDER BY b.number DESC LIMIT 1) AS burn_mass_g,
       (SELECT CASE WHEN b.after_g IS NULL THEN b.lit_ms ELSE b.end_ms END FROM burn_now b
        WHERE b.candle_id = c.id AND coalesce(b.after_g, b.before_g) IS NOT NULL
        ORDER BY b.number DESC LIMIT 1) AS burn_mass_ms,
       (SELECT v.mass_g FROM candle_event v WHERE v.candle_id = c.id AND v.mass_g IS NOT NULL
        ORDER BY v.at_ms DESC, v.id DESC LIMIT 1) AS event_mass_g,
       (SELECT v.at_ms FROM candle_event v WHERE v.candle_id = c.id AND v.mass_g IS NOT NULL
        ORDER BY v.at_ms DESC, v.id DESC LIMIT 1) AS event_mass_ms
FROM candle c JOIN pour p ON p.id = c.pour_id JOIN revision r ON r.id = p.revision_id
JOIN recipe q ON q.id = r.recipe_id JOIN wick_size z ON z.id = c.size_id
JOIN container k ON k.id = r.container_id
LEFT JOIN candle_event f ON f.candle_id = c.id AND f.kind = 'finish';
CREATE TRIGGER material_keep_u BEFORE UPDATE ON material BEGIN SELECT raise(ABORT, 'a material is never changed: add a property or a new material'); END;
CREATE TRIGGER material_keep_d BEFORE DELETE ON material BEGIN SELECT raise(ABORT, 'a material is never removed: archive it'); END;
CREATE TRIGGER material_prop_keep_u BEFORE UPDATE ON material_prop BEGIN SELECT raise(ABORT, 'a property is never changed: set it again'); END;
CREATE TRIGGER material_prop_keep_d BEFORE DELETE ON material_prop BEGIN SELECT raise(ABORT, 'a property is never removed: set it again'); END;
CREATE TRIGGER wick_series_keep_u BEFORE UPDATE ON wick_series BEGIN SELECT raise(ABORT, 'a wick series is never changed: add a new one'); END;
CREATE TRIGGER wick_series_keep_d BEFORE DELETE ON wick_series BEGIN SELECT raise(ABORT, 'a wick series is never removed: archive it'); END;
CREATE TRIGGER wick_size_keep_u BEFORE UPDATE ON wick_size BEGIN SELECT raise(ABORT, 'a wick size is never changed: add a new series'); END;
CREATE TRIGGER wick_size_keep_d BEFORE DELETE ON wick_size BEGIN SELECT raise(ABORT, 'a wick size is never removed'); END;
CREATE TRIGGER container_keep_u BEFORE UPDATE ON container BEGIN SELECT raise(ABORT, 'a container is never changed: add a new one'); END;
CREATE TRIGGER container_keep_d BEFORE DELETE ON container BEGIN SELECT raise(ABORT, 'a container is never removed: archive it'); END;
CREATE TRIGGER container_station_keep_u BEFORE UPDATE ON container_station BEGIN SELECT raise(ABORT, 'a container is never changed: add a new one'); END;
CREATE TRIGGER container_station_keep_d BEFORE DELETE ON container_station BEGIN SELECT raise(ABORT, 'a container is never changed: add a new one'); END;
CREATE TRIGGER lot_keep_u BEFORE UPDATE ON lot BEGIN SELECT raise(ABORT, 'a lot is never changed'); END;
CREATE TRIGGER lot_keep_d BEFORE DELETE ON lot BEGIN SELECT raise(ABORT, 'a lot is never removed'); END;
CREATE TRIGGER archive_mark_keep_u BEFORE UPDATE ON archive_mark BEGIN SELECT raise(ABORT, 'an archive mark is never changed: set a new one'); END;
CREATE TRIGGER archive_mark_keep_d BEFORE DELETE ON archive_mark BEGIN SELECT raise(ABORT, 'an archive mark is never removed: set a new one'); END;
CREATE TRIGGER recipe_keep_u BEFORE UPDATE ON recipe BEGIN SELECT raise(ABORT, 'a recipe is never changed: revise it'); END;
CREATE TRIGGER recipe_keep_d BEFORE DELETE ON recipe BEGIN SELECT raise(ABORT, 'a recipe is never removed: archive it'); END;
CREATE TRIGGER revision_keep_u BEFORE UPDATE ON revision BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE TRIGGER revision_keep_d BEFORE DELETE ON revision BEGIN SELECT raise(ABORT, 'a revision is never removed: make the next one'); END;
CREATE TRIGGER revision_share_keep_u BEFORE UPDATE ON revision_share BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE TRIGGER revision_share_keep_d BEFORE DELETE ON revision_share BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE TRIGGER pour_keep_u BEFORE UPDATE ON pour BEGIN SELECT raise(ABORT, 'a pour is never changed'); END;
CREATE TRIGGER pour_keep_d BEFORE DELETE ON pour BEGIN SELECT raise(ABORT, 'a pour is never removed'); END;
CREATE TRIGGER pour_lot_keep_u BEFORE UPDATE ON pour_lot BEGIN SELECT raise(ABORT, 'a pour is never changed'); END;
CREATE TRIGGER pour_lot_keep_d BEFORE DELETE ON pour_lot BEGIN SELECT raise(ABORT, 'a pour is never changed'); END;
CREATE TRIGGER candle_keep_u BEFORE UPDATE ON candle BEGIN SELECT raise(ABORT, 'a candle is never changed'); END;
CREATE TRIGGER candle_keep_d BEFORE DELETE ON candle BEGIN SELECT raise(ABORT, 'a candle is never removed: finish it'); END;
CREATE TRIGGER candle_event_keep_u BEFORE UPDATE ON candle_event BEGIN SELECT raise(ABORT, 'a weighing is never changed: weigh again'); END;
CREATE TRIGGER candle_event_keep_d BEFORE DELETE ON candle_event BEGIN SELECT raise(ABORT, 'a weighing is never removed: weigh again'); END;
CREATE TRIGGER session_keep_u BEFORE UPDATE ON session BEGIN SELECT raise(ABORT, 'a session is never changed'); END;
CREATE TRIGGER session_keep_d BEFORE DELETE ON session BEGIN SELECT raise(ABORT, 'a session is never removed'); END;
CREATE TRIGGER session_candle_keep_u BEFORE UPDATE ON session_candle BEGIN SELECT raise(ABORT, 'a session is never changed'); END;
CREATE TRIGGER session_candle_keep_d BEFORE DELETE ON session_candle BEGIN SELECT raise(ABORT, 'a session is never changed'); END;
CREATE TRIGGER session_end_keep_u BEFORE UPDATE ON session_end BEGIN SELECT raise(ABORT, 'the end of a burn is never changed'); END;
CREATE TRIGGER session_end_keep_d BEFORE DELETE ON session_end BEGIN SELECT raise(ABORT, 'the end of a burn is never removed'); END;
CREATE TRIGGER reading_keep_u BEFORE UPDATE ON reading BEGIN SELECT raise(ABORT, 'a reading is never changed: add a correction'); END;
CREATE TRIGGER reading_keep_d BEFORE DELETE ON reading BEGIN SELECT raise(ABORT, 'a reading is never removed: add a correction'); END;
CREATE TRIGGER decision_keep_u BEFORE UPDATE ON decision BEGIN SELECT raise(ABORT, 'a decision is never changed: make another'); END;
CREATE TRIGGER decision_keep_d BEFORE DELETE ON decision BEGIN SELECT raise(ABORT, 'a decision is never removed: make another'); END;
CREATE TRIGGER limit_choice_keep_u BEFORE UPDATE ON limit_choice BEGIN SELECT raise(ABORT, 'a limit is never changed in place: choose again'); END;
CREATE TRIGGER limit_choice_keep_d BEFORE DELETE ON limit_choice BEGIN SELECT raise(ABORT, 'a limit is never removed: choose again'); END;
CREATE TRIGGER setting_keep_u BEFORE UPDATE ON setting BEGIN SELECT raise(ABORT, 'a setting is never changed in place: set it again'); END;
CREATE TRIGGER setting_keep_d BEFORE DELETE ON setting BEGIN SELECT raise(ABORT, 'a setting is never removed: set it again'); END;
CREATE TRIGGER revision_place_keep_u BEFORE UPDATE ON revision_place BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE TRIGGER revision_place_keep_d BEFORE DELETE ON revision_place BEGIN SELECT raise(ABORT, 'a revision is never changed: make the next one'); END;
CREATE INDEX device_mark_of ON device_mark (device_id, seq);
CREATE UNIQUE INDEX device_mark_once ON device_mark (device_id, kind) WHERE kind <> 'wrong_number';
CREATE INDEX device_token_of ON device_token (device_id, seq);
CREATE VIEW device_now AS
    SELECT d.id, d.name, i.role, d.asked_ms, d.until_ms,
        (SELECT at_ms FROM device_mark m WHERE m.device_id = d.id AND m.kind = 'confirmed') AS confirmed_ms,
        (SELECT at_ms FROM device_mark m WHERE m.device_id = d.id AND m.kind = 'revoked') AS revoked_ms,
        (SELECT count(*) FROM device_mark m WHERE m.device_id = d.id AND m.kind = 'wrong_number') AS wrong_numbers,
        (SELECT at_ms FROM device_token t WHERE t.device_id = d.id ORDER BY seq DESC LIMIT 1) AS token_ms,
        (SELECT at_ms FROM device_seen s WHERE s.device_id = d.id) AS seen_ms
    FROM device d JOIN device_invite i ON i.id = d.invite_id;
CREATE TRIGGER device_invite_keep_u BEFORE UPDATE ON device_invite BEGIN SELECT raise(ABORT, 'an invitation is never changed'); END;
CREATE TRIGGER device_invite_keep_d BEFORE DELETE ON device_invite BEGIN SELECT raise(ABORT, 'an invitation is never removed'); END;
CREATE TRIGGER device_keep_u BEFORE UPDATE ON device BEGIN SELECT raise(ABORT, 'a device is never changed: pair it again'); END;
CREATE TRIGGER device_keep_d BEFORE DELETE ON device BEGIN SELECT raise(ABORT, 'a device is never removed: revoke it'); END;
CREATE TRIGGER device_mark_keep_u BEFORE UPDATE ON device_mark BEGIN SELECT raise(ABORT, 'what became of a device is never changed'); END;
CREATE TRIGGER device_mark_keep_d BEFORE DELETE ON device_mark BEGIN SELECT raise(ABORT, 'what became of a device is never removed'); END;
CREATE TRIGGER device_token_keep_u BEFORE UPDATE ON device_token BEGIN SELECT raise(ABORT, 'a cookie is never changed: give another'); END;
CREATE TRIGGER device_token_keep_d BEFORE DELETE ON device_token BEGIN SELECT raise(ABORT, 'a cookie is never removed: revoke the device'); END;
CREATE INDEX photo_of_session ON photo (session_id, minute);
CREATE INDEX photo_of_candle ON photo (candle_id, at_ms);
CREATE INDEX photo_mark_of ON photo_mark (photo_id, seq);
CREATE UNIQUE INDEX photo_mark_once ON photo_mark (photo_id) WHERE kind = 'taken_out';
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
CREATE UNIQUE INDEX kept_by ON kept (inputs, kind, engine, tables, seed);
CREATE INDEX kept_of ON kept (recipe_id, kind, about, created_ms);
CREATE TRIGGER reading_settled_keep_u BEFORE UPDATE ON reading_settled BEGIN SELECT raise(ABORT, 'which reading was kept is never changed: add a correction'); END;
CREATE TRIGGER reading_settled_keep_d BEFORE DELETE ON reading_settled BEGIN SELECT raise(ABORT, 'which reading was kept is never removed: add a correction'); END;
CREATE VIEW reading_now AS
SELECT r.id, r.session_id, r.candle_id, r.kind, r.unit, r.value, r.minute, r.at_ms, r.corrects, r.note,
       r.created_ms
FROM reading r WHERE NOT EXISTS (SELECT 1 FROM reading n WHERE n.corrects = r.id)
    AND NOT EXISTS (SELECT 1 FROM reading_settled t WHERE t.reading_id = r.id);
COMMIT;
