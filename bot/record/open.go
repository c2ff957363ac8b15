package record

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	_ "github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	_ "modernc.org/sqlite"
)

//go:embed migration
var migrations embed.FS

// Settings name the database: PostgreSQL at URL when it is set, else the SQLite file at Path.
type Settings struct {
	Path string
	URL  string
}

// dialect is where the two databases differ.
type dialect struct {
	name         string
	goose        goose.Dialect
	placeholders func(query string) string
	all, any     func(words []string) string // a search for cases that hold all, or any, of the words
	search       string                      // query with the search and the number of results as parameters
}

var sqlite = dialect{
	name: "sqlite", goose: goose.DialectSQLite3,
	placeholders: func(query string) string { return query },
	all:          func(words []string) string { return ftsQuery(words, " AND ") },
	any:          func(words []string) string { return ftsQuery(words, " OR ") },
	// What a case was called weighs more than what was said in it; bm25 is smaller for the better match.
	search: `SELECT c.number FROM case_search JOIN repair_case c ON c.number = case_search.rowid
		WHERE case_search MATCH ? ORDER BY bm25(case_search, 4.0, 1.0), c.number DESC LIMIT ?`,
}

var postgres = dialect{
	name: "postgres", goose: goose.DialectPostgres,
	placeholders: numbered,
	all:          func(words []string) string { return tsQuery(words, " & ") },
	any:          func(words []string) string { return tsQuery(words, " | ") },
	search: `SELECT c.number FROM repair_case c, to_tsquery('simple', ?) q
		WHERE c.search @@ q ORDER BY ts_rank(c.search, q, 1) DESC, c.number DESC LIMIT ?`,
}

// numbered turns the ? of a query into $1, $2 …; the queries of this package hold no other ?.
func numbered(query string) string {
	var b strings.Builder
	n := 0
	for _, r := range query {
		if r != '?' {
			b.WriteRune(r)
			continue
		}
		n++
		b.WriteString("$" + strconv.Itoa(n))
	}
	return b.String()
}

// Open opens the record, makes it when it is missing, and brings its tables up to date.
func Open(ctx context.Context, settings Settings) (*Store, error) {
	if settings.URL != "" {
		return openPostgres(ctx, settings.URL)
	}
	return openSQLite(ctx, settings.Path)
}

func openSQLite(ctx context.Context, path string) (*Store, error) {
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("record: there is no folder %s for the file %s; make it or change store.path", filepath.Dir(path), path)
	}
	// The order matters: even the switch to WAL can find the file busy.
	pragmas := "?_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)" +
		"&_time_format=sqlite"
	file := "file:" + (&url.URL{Path: path}).EscapedPath()
	write, err := sql.Open("sqlite", file+pragmas+"&_txlock=immediate")
	if err != nil {
		return nil, fmt.Errorf("record: %s: %w", path, err)
	}
	write.SetMaxOpenConns(1) // one writer: no statement ever finds the file busy by ourselves
	if err := migrate(ctx, write, sqlite); err != nil {
		return nil, errors.Join(fmt.Errorf("record: %s cannot be used: %w", path, err), write.Close())
	}
	read, err := sql.Open("sqlite", file+"?mode=ro&_pragma=busy_timeout(5000)&_pragma=query_only(1)&_time_format=sqlite")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("record: %s: %w", path, err), write.Close())
	}
	read.SetMaxOpenConns(4)
	return &Store{dialect: sqlite, write: write, read: read}, nil
}

func openPostgres(ctx context.Context, address string) (*Store, error) {
	db, err := sql.Open("pgx", address)
	if err != nil {
		return nil, errors.New("record: store.url cannot be read; write postgres://user@host:port/database")
	}
	db.SetMaxOpenConns(8)
	if err := migrate(ctx, db, postgres); err != nil {
		return nil, errors.Join(fmt.Errorf("record: the database of store.url cannot be used: %w", err), db.Close())
	}
	return &Store{dialect: postgres, write: db, read: db}, nil
}

// migrate brings the tables up to date. On PostgreSQL two processes that start at once take turns.
func migrate(ctx context.Context, db *sql.DB, d dialect) error {
	files, err := fs.Sub(migrations, "migration/"+d.name)
	if err != nil {
		return err
	}
	var options []goose.ProviderOption
	if d.goose == goose.DialectPostgres {
		locker, err := lock.NewPostgresSessionLocker()
		if err != nil {
			return err
		}
		options = append(options, goose.WithSessionLocker(locker))
	}
	provider, err := goose.NewProvider(d.goose, db, files, options...)
	if err != nil {
		return err
	}
	_, err = provider.Up(ctx)
	return err
}
