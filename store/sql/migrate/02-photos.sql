-- Photos: which bytes are here, and which were taken out for good.
CREATE TABLE blobs (
    sha     TEXT    PRIMARY KEY NOT NULL CHECK (length(sha) = 64), -- sha256 of the bytes in hex: the name of the file
    size    INTEGER NOT NULL,                  -- bytes
    type    TEXT    NOT NULL,                  -- by content: image/jpeg, image/png or image/webp
    w       INTEGER NOT NULL,                  -- pixels, as shown upright
    h       INTEGER NOT NULL,
    chunk   INTEGER NOT NULL,                  -- bytes of every chunk but the last
    chunks  BLOB    NOT NULL,                  -- sha256 of each chunk, 32 bytes each
    done_ms INTEGER NOT NULL,                  -- when it was whole, ms since 1970 UTC by this machine's clock
    backed  INTEGER NOT NULL DEFAULT 0         -- 1 once a good backup holds the bytes
) STRICT;

CREATE TABLE denied (
    sha TEXT    PRIMARY KEY NOT NULL CHECK (length(sha) = 64),
    pos INTEGER NOT NULL REFERENCES records (pos) -- the record that says so, or that names the preview
) STRICT;

CREATE INDEX records_photo ON records (pos) WHERE kind = 'photo';
