// Package record keeps messages, cases and turns: in one SQLite file by default, in PostgreSQL when the
// settings name one. It implements conversation.Record, answers searches over the cases, and decides
// nothing. Every method has written durably when it returns without an error; times are kept in UTC.
package record

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"rodcall/bot/conversation"
	"rodcall/bot/reply"
)

// Store is an open record. It is safe for concurrent use.
type Store struct {
	dialect dialect
	write   *sql.DB
	read    *sql.DB
}

var _ conversation.Record = (*Store)(nil)

// Close gives the database back. What was stored stays stored without it.
func (s *Store) Close() error {
	if s.read == s.write {
		return s.write.Close()
	}
	return errors.Join(s.read.Close(), s.write.Close())
}

// Check tells whether the record answers.
func (s *Store) Check(ctx context.Context) error {
	var one int
	return s.fault("asking the record", s.read.QueryRowContext(ctx, "SELECT count(*) FROM message WHERE seq < 0").Scan(&one))
}

// SaveMessage stores a message as received; fresh is false when one with this ID is stored already.
func (s *Store) SaveMessage(ctx context.Context, m conversation.Message) (fresh bool, err error) {
	done, err := s.write.ExecContext(ctx, s.sql(`INSERT INTO message (id, thread, author, text, files, at)
		VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING`), m.ID, m.Thread, m.Author, m.Text, m.Files, utc(m.At))
	if err != nil {
		return false, s.fault("keeping the message "+m.ID, err)
	}
	rows, err := done.RowsAffected()
	return rows == 1, s.fault("keeping the message "+m.ID, err)
}

// Answered is the reply that was given to a message; ok is false when it has none yet.
func (s *Store) Answered(ctx context.Context, messageID string) (r reply.Reply, ok bool, err error) {
	var text []byte
	err = s.read.QueryRowContext(ctx, s.sql(`SELECT reply FROM turn WHERE message_id = ?`), messageID).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return r, false, nil
	}
	if err == nil {
		err = json.Unmarshal(text, &r)
	}
	return r, err == nil, s.fault("reading the reply to "+messageID, err)
}

// Pending lists messages that have no turn, in the order in which they were stored.
func (s *Store) Pending(ctx context.Context) ([]conversation.Message, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT m.id, m.thread, m.author, m.text, m.files, m.at FROM message m
		WHERE NOT EXISTS (SELECT 1 FROM turn t WHERE t.message_id = m.id) ORDER BY m.seq`)
	if err != nil {
		return nil, s.fault("listing unanswered messages", err)
	}
	defer rows.Close()
	var pending []conversation.Message
	for rows.Next() {
		var m conversation.Message
		if err := rows.Scan(&m.ID, &m.Thread, &m.Author, &m.Text, &m.Files, &m.At); err != nil {
			return nil, s.fault("listing unanswered messages", err)
		}
		m.At = utc(m.At)
		pending = append(pending, m)
	}
	return pending, s.fault("listing unanswered messages", rows.Err())
}

// OpenCase is the case of a thread that was opened last and is not closed; ok is false when there is none.
func (s *Store) OpenCase(ctx context.Context, thread string) (c conversation.Case, ok bool, err error) {
	var state []byte
	err = s.read.QueryRowContext(ctx, s.sql(`SELECT state FROM repair_case
		WHERE thread = ? AND closed = FALSE ORDER BY number DESC LIMIT 1`), thread).Scan(&state)
	if errors.Is(err, sql.ErrNoRows) {
		return c, false, nil
	}
	if err == nil {
		err = json.Unmarshal(state, &c)
	}
	return c, err == nil, s.fault("reading the case of the thread "+thread, err)
}

// NewCase opens an empty case and gives it a number.
func (s *Store) NewCase(ctx context.Context, thread, author string, at time.Time) (conversation.Case, error) {
	c := conversation.Case{Thread: thread, Author: author, Opened: utc(at)}
	err := s.transact(ctx, func(tx *sql.Tx) error {
		err := tx.QueryRowContext(ctx, s.sql(`INSERT INTO repair_case
			(thread, author, opened, changed, closed, state, title, said, facts)
			VALUES (?, ?, ?, ?, FALSE, '', '', '', '') RETURNING number`), thread, author, c.Opened, c.Opened).Scan(&c.Number)
		if err != nil {
			return err
		}
		state, err := json.Marshal(c)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, s.sql(`UPDATE repair_case SET state = ? WHERE number = ?`), string(state), c.Number)
		return err
	})
	return c, s.fault("opening a case", err)
}

// Shown lists the routine cautions that a person was shown on a day.
func (s *Store) Shown(ctx context.Context, author, day string) ([]string, error) {
	rows, err := s.read.QueryContext(ctx,
		s.sql(`SELECT caution FROM shown_caution WHERE author = ? AND day = ? ORDER BY caution`), author, day)
	if err != nil {
		return nil, s.fault("listing the cautions shown", err)
	}
	defer rows.Close()
	var shown []string
	for rows.Next() {
		var caution string
		if err := rows.Scan(&caution); err != nil {
			return nil, s.fault("listing the cautions shown", err)
		}
		shown = append(shown, caution)
	}
	return shown, s.fault("listing the cautions shown", rows.Err())
}

// transact runs do in one transaction of the write pool; do must use nothing but tx.
func (s *Store) transact(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := do(tx); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}

func (s *Store) sql(query string) string { return s.dialect.placeholders(query) }

// Fault is an error of the record: the database could not be opened, read or written.
type Fault struct {
	Doing string // what was tried
	Err   error
}

func (f *Fault) Error() string { return fmt.Sprintf("record: %s: %v", f.Doing, f.Err) }
func (f *Fault) Unwrap() error { return f.Err }

func (s *Store) fault(doing string, err error) error {
	if err == nil {
		return nil
	}
	return &Fault{doing, err}
}

// utc is the time as both databases keep it: in UTC, to the microsecond.
func utc(t time.Time) time.Time { return t.UTC().Truncate(time.Microsecond) }
