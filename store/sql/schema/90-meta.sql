-- meta holds single facts about the file. Key "schema" is the version of its
-- tables, written when they are made and by each migration in its own transaction.
CREATE TABLE meta (
    key   TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL
) STRICT;
