// Command withpostgres runs a command with one PostgreSQL for all the tests in it:
//
//	withpostgres go test ./...
//	withpostgres -container go test ./internal/postgres/...
//	withpostgres -installed
//
// It finds or starts the server as package pgtest describes, names it in SILLBOOK_TEST_DATABASE_URL for the
// command, and stops it afterwards. Its exit status is the command's. With -container
// nothing but a container will do. With -installed it says which installed
// PostgreSQL would be used, or fails with what to do when there is none.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"syscall"

	"sillbook/internal/fault"
	"sillbook/internal/localdb"
	"sillbook/internal/pgtest"
)

func main() {
	os.Exit(run(os.Args[1:]))
}

func run(args []string) int {
	// The command hears an interrupt itself, from the terminal; this process stays to stop the server.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	switch {
	case len(args) == 0:
		fmt.Fprintln(os.Stderr, "usage: withpostgres [-container] COMMAND [ARGUMENT...] | withpostgres -installed")
		return 2
	case args[0] == "-installed":
		bin, err := localdb.Installed(ctx)
		if err != nil {
			fmt.Fprintln(os.Stderr, fault.As(err).Detail)
			return 1
		}
		fmt.Println("PostgreSQL found in", bin)
		return 0
	}
	serve := pgtest.Serve
	if args[0] == "-container" && len(args) > 1 {
		serve, args = pgtest.Container, args[1:]
	}
	server, err := serve(ctx)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	fmt.Fprintln(os.Stderr, "testing against", server.What)
	status := runWith(server.URL, args)
	if err := server.Stop(); err != nil {
		fmt.Fprintln(os.Stderr, "stopping the test server:", err)
	}
	return status
}

// runWith runs the command with the server's URL in its environment, and gives its exit status.
func runWith(url string, args []string) int {
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	cmd.Env = append(os.Environ(), "SILLBOOK_TEST_DATABASE_URL="+url)
	err := cmd.Run()
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		return max(exit.ExitCode(), 1) // -1 when a signal ended it
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 127
	}
	return 0
}
