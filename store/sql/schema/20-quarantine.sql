-- quarantine holds what was pushed and is not in the log: records whose id is
-- there with other text (a device that was copied or put back from a backup, or
-- damage on the way), records of a device that was revoked, and those that the
-- device which pushed them may not write. A person looks.
CREATE TABLE quarantine (
    n       INTEGER PRIMARY KEY,
    id      TEXT    NOT NULL,
    h       BLOB    NOT NULL CHECK (length(h) = 32), -- sha256 of raw
    dev     TEXT    NOT NULL,                  -- device that pushed it
    raw     BLOB    NOT NULL,                  -- the text as received
    recv_ms INTEGER NOT NULL,                  -- first arrival, ms since 1970 UTC
    UNIQUE (id, h)                             -- pushed again it is not a second case
) STRICT;
