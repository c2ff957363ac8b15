package main

import (
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write what the program prints into the manual; read the change by eye")

// runVariable makes the test binary behave as the program itself, so that it can be started and killed.
const runVariable = "RODCALL_TEST_RUN"

func TestMain(m *testing.M) {
	if os.Getenv(runVariable) != "" {
		main()
	}
	testscript.Main(m, map[string]func(){"rodcall": main})
}

// Each script in testdata/script is one story of the commands, run in an empty folder.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
		},
	})
}

// status runs a command and checks its exit status: status 2 rodcall --nonsense. Its output is left for
// the stdout and stderr checks.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status NUMBER COMMAND [ARGUMENT...]")
	}
	got := "0"
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		exit, ok := err.(interface{ ExitCode() int })
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = string(rune('0' + exit.ExitCode()))
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s", got, args[0])
	}
}
