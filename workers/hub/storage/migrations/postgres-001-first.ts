// Version 1 of the hub's PostgreSQL database. Never edited once released: a change is a further migration.
// Its tables are those of 001-first.ts, which says what they hold.

/** Makes the tables. */
export const postgresFirst = `
  CREATE TABLE procedures (
    ordinal bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    identity text NOT NULL UNIQUE,
    id text NOT NULL,
    title text NOT NULL,
    revision text NOT NULL,
    summary text NOT NULL,
    text text NOT NULL
  );

  CREATE TABLE inject_scripts (
    ordinal bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    identity text NOT NULL UNIQUE,
    procedure_id text NOT NULL,
    text text NOT NULL
  );

  CREATE TABLE runs (
    number bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    run text NOT NULL UNIQUE,
    title text NOT NULL,
    procedure text NOT NULL REFERENCES procedures (identity),
    opened_by text NOT NULL,
    opened_at_ms bigint NOT NULL,
    head bigint NOT NULL DEFAULT 0,
    is_closed boolean NOT NULL DEFAULT false,
    hides_something boolean NOT NULL DEFAULT false,
    set_aside bigint NOT NULL DEFAULT 0
  );

  CREATE TABLE devices (
    run text NOT NULL REFERENCES runs (run),
    device text NOT NULL,
    name text NOT NULL,
    token_digest text,
    role text NOT NULL,
    lane text,
    by_code boolean NOT NULL,
    came_at_place bigint NOT NULL DEFAULT 0,
    came_at_ms bigint NOT NULL,
    last_heard_ms bigint NOT NULL,
    PRIMARY KEY (run, device),
    UNIQUE (run, token_digest)
  ) WITH (fillfactor = 70);

  CREATE TABLE invitations (
    code_digest text PRIMARY KEY,
    run text NOT NULL REFERENCES runs (run),
    role text NOT NULL,
    lane text,
    expires_at_ms bigint,
    used_by text
  );

  CREATE TABLE chains (
    chain bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    run bigint NOT NULL REFERENCES runs (number),
    device text NOT NULL,
    have bigint NOT NULL CHECK (have >= 1),
    digest text NOT NULL,
    tail text NOT NULL,
    UNIQUE (run, device)
  );

  CREATE TABLE listed (
    run bigint NOT NULL REFERENCES runs (number),
    place bigint NOT NULL CHECK (place >= 1),
    chain bigint REFERENCES chains (chain),
    from_seq bigint NOT NULL,
    entries bigint NOT NULL,
    packed bytea NOT NULL,
    PRIMARY KEY (run, place)
  );
  -- Packed already.
  ALTER TABLE listed ALTER COLUMN packed SET STORAGE EXTERNAL;
  CREATE UNIQUE INDEX listed_by_chain ON listed (chain, from_seq) WHERE chain IS NOT NULL;

  CREATE TABLE noted (
    run bigint NOT NULL REFERENCES runs (number),
    place bigint NOT NULL,
    device text NOT NULL,
    seq bigint NOT NULL CHECK (seq >= 1),
    digest text NOT NULL,
    text text NOT NULL,
    is_director_only boolean NOT NULL,
    admits text,
    strikes_off text,
    fires text,
    PRIMARY KEY (run, device, seq)
  );
  CREATE INDEX noted_for_directors ON noted (run, place) WHERE is_director_only;
  CREATE INDEX noted_letters ON noted (run, coalesce(admits, strikes_off), place, seq)
    WHERE admits IS NOT NULL OR strikes_off IS NOT NULL;
  CREATE INDEX noted_that_fire ON noted (run) WHERE fires IS NOT NULL;

  CREATE TABLE set_aside (
    ordinal bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    run bigint NOT NULL REFERENCES runs (number),
    device text NOT NULL,
    from_seq bigint NOT NULL,
    to_seq bigint NOT NULL,
    digest text NOT NULL,
    text text NOT NULL,
    code text NOT NULL,
    received_ms bigint NOT NULL,
    UNIQUE (run, digest, code)
  );
`;
