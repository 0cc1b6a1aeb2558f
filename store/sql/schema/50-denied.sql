-- denied lists photos that were taken out for good, and their previews. Their
-- bytes are deleted and not taken in again, whatever becomes of the record.
CREATE TABLE denied (
    sha TEXT    PRIMARY KEY NOT NULL CHECK (length(sha) = 64),
    pos INTEGER NOT NULL REFERENCES records (pos) -- the record that says so, or that names the preview
) STRICT;
