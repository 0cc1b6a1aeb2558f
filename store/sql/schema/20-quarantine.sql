-- quarantine holds records whose id is in records with other text: a device that
-- was copied or put back from a backup, or damage on the way. A person looks.
CREATE TABLE quarantine (
    n       INTEGER PRIMARY KEY,
    id      TEXT    NOT NULL,
    h       BLOB    NOT NULL CHECK (length(h) = 32), -- sha256 of raw
    dev     TEXT    NOT NULL,                  -- device that pushed it
    raw     BLOB    NOT NULL,                  -- the text as received
    recv_ms INTEGER NOT NULL,                  -- first arrival, ms since 1970 UTC
    UNIQUE (id, h)                             -- pushed again it is not a second case
) STRICT;
