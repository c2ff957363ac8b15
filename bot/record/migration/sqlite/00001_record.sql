-- +goose Up
CREATE TABLE message (
  seq    INTEGER PRIMARY KEY AUTOINCREMENT,
  id     TEXT NOT NULL UNIQUE,
  thread TEXT NOT NULL,
  author TEXT NOT NULL,
  text   TEXT NOT NULL,
  files  INTEGER NOT NULL,
  at     TIMESTAMP NOT NULL
);

-- said and facts are plain words parted by blanks, made for searching.
CREATE TABLE repair_case (
  number  INTEGER PRIMARY KEY AUTOINCREMENT,
  thread  TEXT NOT NULL,
  author  TEXT NOT NULL,
  opened  TIMESTAMP NOT NULL,
  changed TIMESTAMP NOT NULL,
  closed  BOOLEAN NOT NULL,
  state   TEXT NOT NULL,
  title   TEXT NOT NULL,
  said    TEXT NOT NULL,
  facts   TEXT NOT NULL
);
CREATE INDEX repair_case_thread ON repair_case (thread, closed, number);

CREATE TABLE case_part (
  case_number INTEGER NOT NULL REFERENCES repair_case (number),
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
  case_number INTEGER REFERENCES repair_case (number),
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

CREATE VIRTUAL TABLE case_search USING fts5 (facts, said, content='repair_case', content_rowid='number',
  tokenize='unicode61 remove_diacritics 0', prefix='2 3');
-- +goose StatementBegin
CREATE TRIGGER repair_case_added AFTER INSERT ON repair_case BEGIN
  INSERT INTO case_search (rowid, facts, said) VALUES (new.number, new.facts, new.said);
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER repair_case_changed AFTER UPDATE OF facts, said ON repair_case BEGIN
  INSERT INTO case_search (case_search, rowid, facts, said) VALUES ('delete', old.number, old.facts, old.said);
  INSERT INTO case_search (rowid, facts, said) VALUES (new.number, new.facts, new.said);
END;
-- +goose StatementEnd

-- +goose Down
DROP TABLE case_search;
DROP TABLE shown_caution;
DROP TABLE turn;
DROP TABLE case_part;
DROP TABLE repair_case;
DROP TABLE message;
