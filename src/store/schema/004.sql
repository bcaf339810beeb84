-- Schema 4: devices of the workshop's network, and how they were let in. Secrets (codes, tickets, numbers,
-- cookies) stand here only as BLAKE2b hashes of 32 bytes, written as 64 hex digits.

-- ENDURING: a code was made at the workshop's computer. One device may use it, once, until until_ms.
CREATE TABLE device_invite (
    id        TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    code_hash TEXT NOT NULL UNIQUE CHECK (length(code_hash) = 64),
    role      TEXT NOT NULL CHECK (role IN ('bench', 'all')),
    made_ms   INTEGER NOT NULL,
    until_ms  INTEGER NOT NULL CHECK (until_ms >= made_ms)
) STRICT;

-- ENDURING: a device showed a code and asked to be let in. It waits with a ticket only it knows, and shows
-- a number that must be typed at the computer.
CREATE TABLE device (
    id          TEXT NOT NULL PRIMARY KEY CHECK (length(id) BETWEEN 5 AND 40),
    invite_id   TEXT NOT NULL UNIQUE REFERENCES device_invite (id),  -- a code works once
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 60),
    ticket_hash TEXT NOT NULL UNIQUE CHECK (length(ticket_hash) = 64),
    number_hash TEXT NOT NULL CHECK (length(number_hash) = 64),
    asked_ms    INTEGER NOT NULL,
    until_ms    INTEGER NOT NULL CHECK (until_ms >= asked_ms)
) STRICT;

-- ENDURING: what became of it; a revoked device is a row here, never a row gone.
CREATE TABLE device_mark (
    seq       INTEGER NOT NULL PRIMARY KEY,
    device_id TEXT NOT NULL REFERENCES device (id),
    kind      TEXT NOT NULL CHECK (kind IN ('wrong_number', 'confirmed', 'revoked')),
    at_ms     INTEGER NOT NULL
) STRICT;
CREATE INDEX device_mark_of ON device_mark (device_id, seq);
CREATE UNIQUE INDEX device_mark_once ON device_mark (device_id, kind) WHERE kind <> 'wrong_number';

-- ENDURING: cookies given to a device. The newest of a device holds.
CREATE TABLE device_token (
    seq        INTEGER NOT NULL PRIMARY KEY,
    device_id  TEXT NOT NULL REFERENCES device (id),
    token_hash TEXT NOT NULL UNIQUE CHECK (length(token_hash) = 64),
    at_ms      INTEGER NOT NULL
) STRICT;
CREATE INDEX device_token_of ON device_token (device_id, seq);

-- PASSING: when a device last asked for anything, to the minute.
CREATE TABLE device_seen (
    device_id TEXT NOT NULL PRIMARY KEY REFERENCES device (id),
    at_ms     INTEGER NOT NULL
) STRICT;

-- A device as it stands now, whatever the hour; what lapses by time is judged by who asks.
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
