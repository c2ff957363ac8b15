-- +goose Up
CREATE TABLE message (
  seq    BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  id     TEXT NOT NULL UNIQUE,
  thread TEXT NOT NULL,
  author TEXT NOT NULL,
  text   TEXT NOT NULL,
  files  INTEGER NOT NULL,
  at     TIMESTAMPTZ NOT NULL
);

-- said and facts are plain words parted by blanks, made for searching.
CREATE TABLE repair_case (
  number  BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  thread  TEXT NOT NULL,
  author  TEXT NOT NULL,
  opened  TIMESTAMPTZ NOT NULL,
  changed TIMESTAMPTZ NOT NULL,
  closed  BOOLEAN NOT NULL,
  state   TEXT NOT NULL,
  title   TEXT NOT NULL,
  said    TEXT NOT NULL,
  facts   TEXT NOT NULL,
  search  TSVECTOR GENERATED ALWAYS AS
    (setweight(to_tsvector('simple', facts), 'A') || setweight(to_tsvector('simple', said), 'B')) STORED
);
CREATE INDEX repair_case_thread ON repair_case (thread, closed, number);
CREATE INDEX repair_case_search ON repair_case USING GIN (search);

CREATE TABLE case_part (
  case_number BIGINT NOT NULL REFERENCES repair_case (number),
  part        INTEGER NOT NULL,
  name        TEXT NOT NULL,
  family      TEXT NOT NULL,
  p           DOUBLE PRECISION NOT NULL,
  decision    TEXT NOT NULL,
  rods        TEXT NOT NULL,
  facts       TEXT NOT NULL,
  PRIMARY KEY (case_number, part)
);

CREATE TABLE turn (
  message_id  TEXT PRIMARY KEY REFERENCES message (id),
  case_number BIGINT REFERENCES repair_case (number),
  part        INTEGER NOT NULL,
  word        TEXT NOT NULL,
  observation TEXT,
  judgment    TEXT,
  reply       TEXT NOT NULL
);
CREATE INDEX turn_case ON turn (case_number);

CREATE TABLE shown_caution (
  author  TEXT NOT NULL,
  day     TEXT NOT NULL,
  caution TEXT NOT NULL,
  PRIMARY KEY (author, day, caution)
);

-- +goose Down
DROP TABLE shown_caution;
DROP TABLE turn;
DROP TABLE case_part;
DROP TABLE repair_case;
DROP TABLE message;
