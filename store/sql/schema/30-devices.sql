-- devices says when each tablet, and each wall that was paired, was last heard of.
CREATE TABLE devices (
    dev      TEXT    PRIMARY KEY NOT NULL,
    name     TEXT    NOT NULL,                 -- as the shop calls it; empty when it never said
    first_ms INTEGER NOT NULL,                 -- ms since 1970 UTC by this machine's clock
    last_ms  INTEGER NOT NULL
) STRICT;
