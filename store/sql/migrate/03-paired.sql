-- Pairing: who may connect.
CREATE TABLE paired (
    dev        TEXT    PRIMARY KEY NOT NULL,   -- as the device names itself in records
    name       TEXT    NOT NULL,               -- as the shop calls it
    role       TEXT    NOT NULL,               -- board, measure or bench
    token      BLOB    NOT NULL UNIQUE CHECK (length(token) = 32), -- sha256 of the token, which only the device has
    paired_ms  INTEGER NOT NULL,               -- ms since 1970 UTC by this machine's clock
    revoked_ms INTEGER                         -- from then on it reads nothing and what it pushes is set aside
) STRICT;
