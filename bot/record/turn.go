package record

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"

	"rodcall/bot/conversation"
	"rodcall/engine"
)

// surelyP is the chance from which a family is worth finding a case by.
const surelyP = 0.1

// SaveTurn stores what a message led to, in one transaction. A second turn for one message is an error,
// and so is a turn of a message or a case that is not stored.
func (s *Store) SaveTurn(ctx context.Context, t conversation.Turn) error {
	err := s.transact(ctx, func(tx *sql.Tx) error {
		if err := s.insertTurn(ctx, tx, t); err != nil {
			return err
		}
		day := utc(t.Message.At).Format("2006-01-02")
		for _, caution := range t.Shown {
			_, err := tx.ExecContext(ctx, s.sql(`INSERT INTO shown_caution (author, day, caution) VALUES (?, ?, ?)
				ON CONFLICT (author, day, caution) DO NOTHING`), t.Message.Author, day, caution)
			if err != nil {
				return err
			}
		}
		if t.Case.Number == 0 {
			return nil
		}
		if err := s.saveParts(ctx, tx, t); err != nil {
			return err
		}
		return s.saveCase(ctx, tx, t)
	})
	return s.fault("keeping the reply to "+t.Message.ID, err)
}

func (s *Store) insertTurn(ctx context.Context, tx *sql.Tx, t conversation.Turn) error {
	given, err := json.Marshal(t.Reply)
	if err != nil {
		return err
	}
	var observed, judged, number any // NULL when there is none
	if t.Observation != nil {
		if observed, err = marshal(t.Observation); err != nil {
			return err
		}
	}
	if t.Judgment != nil {
		if judged, err = marshal(t.Judgment); err != nil {
			return err
		}
	}
	if t.Case.Number != 0 {
		number = t.Case.Number
	}
	_, err = tx.ExecContext(ctx, s.sql(`INSERT INTO turn (message_id, case_number, part, word, observation, judgment, reply)
		VALUES (?, ?, ?, ?, ?, ?, ?)`), t.Message.ID, number, t.Part, t.Word, observed, judged, string(given))
	return err
}

func marshal(v any) (string, error) {
	text, err := json.Marshal(v)
	return string(text), err
}

// saveParts keeps one row a part: its name and, for the part that was judged, the call.
func (s *Store) saveParts(ctx context.Context, tx *sql.Tx, t conversation.Turn) error {
	_, err := tx.ExecContext(ctx, s.sql(`DELETE FROM case_part WHERE case_number = ? AND part > ?`), t.Case.Number, len(t.Case.Parts))
	if err != nil {
		return err
	}
	for i, part := range t.Case.Parts {
		_, err := tx.ExecContext(ctx, s.sql(`INSERT INTO case_part (case_number, part, name, family, p, decision, rods, facts)
			VALUES (?, ?, ?, '', 0, '', '', '') ON CONFLICT (case_number, part) DO UPDATE SET name = excluded.name`),
			t.Case.Number, i+1, part.Observation.Part)
		if err != nil {
			return err
		}
	}
	if t.Judgment == nil || t.Part < 1 || t.Part > len(t.Case.Parts) {
		return nil
	}
	family, p := leading(t.Judgment)
	var rods []string
	for _, c := range t.Judgment.Consumables {
		rods = append(rods, c.Class)
	}
	_, err = tx.ExecContext(ctx, s.sql(`UPDATE case_part SET family = ?, p = ?, decision = ?, rods = ?, facts = ?
		WHERE case_number = ? AND part = ?`), family, p, t.Judgment.Decision, strings.Join(rods, " "),
		facts(t.Case.Parts[t.Part-1], t.Judgment), t.Case.Number, t.Part)
	return err
}

// saveCase stores the case whole, and the words it can be found by: everything said, and the facts of
// all its parts as last judged.
func (s *Store) saveCase(ctx context.Context, tx *sql.Tx, t conversation.Turn) error {
	state, err := json.Marshal(t.Case)
	if err != nil {
		return err
	}
	var title, said string
	err = tx.QueryRowContext(ctx, s.sql(`SELECT title, said FROM repair_case WHERE number = ?`), t.Case.Number).Scan(&title, &said)
	if err != nil {
		return fmt.Errorf("case %d: %w", t.Case.Number, err)
	}
	if title == "" {
		title = t.Message.Text
	}
	if len(said) < maxSaidBytes {
		said = strings.TrimSpace(said + " " + strings.Join(tokens(t.Message.Text), " "))
	}
	all, err := s.allFacts(ctx, tx, t.Case.Number)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, s.sql(`UPDATE repair_case SET state = ?, closed = ?, changed = ?, title = ?, said = ?, facts = ?
		WHERE number = ?`), string(state), t.Case.Closed, utc(t.Message.At), title, said, all, t.Case.Number)
	return err
}

func (s *Store) allFacts(ctx context.Context, tx *sql.Tx, number int64) (string, error) {
	rows, err := tx.QueryContext(ctx, s.sql(`SELECT facts FROM case_part WHERE case_number = ? ORDER BY part`), number)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	var all []string
	for rows.Next() {
		var one string
		if err := rows.Scan(&one); err != nil {
			return "", err
		}
		all = append(all, one)
	}
	return strings.Join(all, " "), rows.Err()
}

func leading(j *engine.Judgment) (family string, p float64) {
	if len(j.Families) == 0 {
		return "", 0
	}
	return j.Families[0].ID, j.Families[0].P
}

// facts are the words of a judged part worth finding it by.
func facts(part conversation.Part, j *engine.Judgment) string {
	o := part.Observation
	words := []string{o.Part, o.Job, o.JoinedTo, j.Decision}
	words = append(words, o.Marks...)
	words = append(words, o.Service...)
	for _, claim := range o.Claim {
		words = append(words, claim.Metal)
	}
	for _, f := range j.Families {
		if f.P >= surelyP {
			words = append(words, f.ID)
		}
	}
	for _, g := range j.Grades {
		if g.P >= surelyP {
			words = append(words, g.Designation)
		}
	}
	for _, c := range j.Consumables {
		words = append(words, c.Class)
	}
	return strings.Join(tokens(strings.Join(words, " ")), " ")
}
