// Version 1 of the hub's file. Never edited once released: a change is a further migration.
//
// Runs and chains have numbers, as their names would be most of what lies in the file: 50,000 entries
// shall take little more than their packed segments.

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
    number INTEGER PRIMARY KEY,
    run TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL,
    procedure TEXT NOT NULL REFERENCES procedures (identity),
    opened_by TEXT NOT NULL,
    opened_at_ms INTEGER NOT NULL,
    -- The highest place that is listed.
    head INTEGER NOT NULL DEFAULT 0,
    is_closed INTEGER NOT NULL DEFAULT 0,
    hides_something INTEGER NOT NULL DEFAULT 0,
    -- How many segments were set aside, whether they are kept or not.
    set_aside INTEGER NOT NULL DEFAULT 0
  ) STRICT;

  CREATE TABLE devices (
    run TEXT NOT NULL REFERENCES runs (run),
    device TEXT NOT NULL,
    name TEXT NOT NULL,
    -- Null: the recovery key, until somebody comes with it.
    token_digest TEXT,
    role TEXT NOT NULL,
    lane TEXT,
    by_code INTEGER NOT NULL,
    -- A director's joining names it only if it is listed after this place.
    came_at_place INTEGER NOT NULL DEFAULT 0,
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
    -- Null: never.
    expires_at_ms INTEGER,
    used_by TEXT
  ) STRICT, WITHOUT ROWID;

  -- How far each device's chain goes, and what its segments are packed against.
  CREATE TABLE chains (
    chain INTEGER PRIMARY KEY,
    run INTEGER NOT NULL REFERENCES runs (number),
    device TEXT NOT NULL,
    have INTEGER NOT NULL CHECK (have >= 1),
    digest TEXT NOT NULL,
    tail TEXT NOT NULL,
    UNIQUE (run, device)
  ) STRICT;

  -- A place with a segment, or (without a chain) with what is unveiled.
  CREATE TABLE listed (
    run INTEGER NOT NULL REFERENCES runs (number),
    place INTEGER NOT NULL CHECK (place >= 1),
    chain INTEGER REFERENCES chains (chain),
    from_seq INTEGER NOT NULL,
    entries INTEGER NOT NULL,
    packed BLOB NOT NULL,
    PRIMARY KEY (run, place)
  ) STRICT, WITHOUT ROWID;
  CREATE UNIQUE INDEX listed_by_chain ON listed (chain, from_seq) WHERE chain IS NOT NULL;

  CREATE TABLE noted (
    run INTEGER NOT NULL REFERENCES runs (number),
    place INTEGER NOT NULL,
    device TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq >= 1),
    digest TEXT NOT NULL,
    text TEXT NOT NULL,
    is_director_only INTEGER NOT NULL,
    admits TEXT,
    strikes_off TEXT,
    fires TEXT,
    PRIMARY KEY (run, device, seq)
  ) STRICT, WITHOUT ROWID;
  CREATE INDEX noted_for_directors ON noted (run, place) WHERE is_director_only = 1;
  CREATE INDEX noted_letters ON noted (run, coalesce(admits, strikes_off), place, seq)
    WHERE admits IS NOT NULL OR strikes_off IS NOT NULL;
  CREATE INDEX noted_that_fire ON noted (run) WHERE fires IS NOT NULL;

  CREATE TABLE set_aside (
    ordinal INTEGER PRIMARY KEY AUTOINCREMENT,
    run INTEGER NOT NULL REFERENCES runs (number),
    device TEXT NOT NULL,
    from_seq INTEGER NOT NULL,
    to_seq INTEGER NOT NULL,
    digest TEXT NOT NULL,
    text TEXT NOT NULL,
    code TEXT NOT NULL,
    received_ms INTEGER NOT NULL,
    UNIQUE (run, digest, code)
  ) STRICT;
`;
