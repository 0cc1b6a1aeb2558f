-- records is the whole truth: every record as it was pushed, in order of arrival.
-- Rows are only ever added. All other tables of the shop can be made from it.
CREATE TABLE records (
    pos     INTEGER PRIMARY KEY AUTOINCREMENT, -- from 1, without a gap; the sequence also remembers the highest one ever
    id      TEXT    NOT NULL UNIQUE,           -- 128 random bits, made by the device; copied from raw like the next four
    h       BLOB    NOT NULL CHECK (length(h) = 32), -- sha256 of raw
    dev     TEXT    NOT NULL,                  -- device that wrote it, which need not be the one that pushed it
    kind    TEXT    NOT NULL,
    job     TEXT    NOT NULL,
    slot    TEXT    NOT NULL,
    raw     BLOB    NOT NULL,                  -- the text as received, UTF-8
    recv_ms INTEGER NOT NULL,                  -- arrival, ms since 1970 UTC by this machine's clock; decides nothing
    chain   BLOB    NOT NULL CHECK (length(chain) = 32) -- sha256(chain of the row before, id, h); 32 zero bytes before the first
) STRICT;

CREATE INDEX records_job ON records (job, pos);

CREATE INDEX records_photo ON records (pos) WHERE kind = 'photo';
