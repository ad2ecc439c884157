// Version 1 of the hub's file. Never edited once released: a change is a further migration.

/** Makes the tables. */
export const first = `
  CREATE TABLE hub (
    epoch TEXT NOT NULL
  ) STRICT;

  CREATE TABLE procedures (
    ordinal INTEGER PRIMARY KEY AUTOINCREMENT,
    identity TEXT NOT NULL UNIQUE,
    id TEXT NOT NULL,
    title TEXT NOT NULL,
    revision TEXT NOT NULL,
    summary TEXT NOT NULL,
    text TEXT NOT NULL
  ) STRICT;

  CREATE TABLE inject_scripts (
    ordinal INTEGER PRIMARY KEY AUTOINCREMENT,
    identity TEXT NOT NULL UNIQUE,
    procedure_id TEXT NOT NULL,
    text TEXT NOT NULL
  ) STRICT;

  CREATE TABLE runs (
    run TEXT PRIMARY KEY,
    title TEXT NOT NULL,
    procedure TEXT NOT NULL REFERENCES procedures (identity),
    opened_by TEXT NOT NULL,
    opened_at_ms INTEGER NOT NULL,
    is_closed INTEGER NOT NULL DEFAULT 0
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE devices (
    run TEXT NOT NULL REFERENCES runs (run),
    device TEXT NOT NULL,
    name TEXT NOT NULL,
    token_digest TEXT NOT NULL,
    role TEXT NOT NULL,
    lane TEXT,
    by_code INTEGER NOT NULL,
    came_at_ms INTEGER NOT NULL,
    last_heard_ms INTEGER NOT NULL,
    PRIMARY KEY (run, device),
    UNIQUE (run, token_digest)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE invitations (
    code_digest TEXT PRIMARY KEY,
    run TEXT NOT NULL REFERENCES runs (run),
    role TEXT NOT NULL,
    lane TEXT,
    expires_at_ms INTEGER NOT NULL,
    used_by TEXT
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE entries (
    ordinal INTEGER PRIMARY KEY,
    run TEXT NOT NULL,
    device TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq >= 1),
    digest TEXT NOT NULL,
    text TEXT NOT NULL,
    is_director_only INTEGER NOT NULL,
    admits TEXT,
    fires TEXT,
    received_ms INTEGER NOT NULL,
    UNIQUE (run, device, seq),
    FOREIGN KEY (run, device) REFERENCES devices (run, device)
  ) STRICT;
  CREATE INDEX entries_for_directors ON entries (run) WHERE is_director_only = 1;
  CREATE INDEX entries_that_admit ON entries (run, admits) WHERE admits IS NOT NULL;
  CREATE INDEX entries_that_fire ON entries (run) WHERE fires IS NOT NULL;

  CREATE TABLE places (
    run TEXT NOT NULL,
    place INTEGER NOT NULL CHECK (place >= 1),
    entry INTEGER NOT NULL REFERENCES entries (ordinal),
    PRIMARY KEY (run, place)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE set_aside (
    ordinal INTEGER PRIMARY KEY AUTOINCREMENT,
    run TEXT NOT NULL,
    device TEXT NOT NULL,
    seq INTEGER NOT NULL,
    digest TEXT NOT NULL,
    text TEXT NOT NULL,
    code TEXT NOT NULL,
    received_ms INTEGER NOT NULL,
    UNIQUE (run, digest),
    FOREIGN KEY (run, device) REFERENCES devices (run, device)
  ) STRICT;
`;
