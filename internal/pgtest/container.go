package pgtest

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"log"
	"os"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/testcontainers/testcontainers-go"
	tclog "github.com/testcontainers/testcontainers-go/log"
)

const (
	// imageEnv names the image to start; one that takes POSTGRES_PASSWORD and arguments to postgres, as the
	// widely used images do. It is never pulled.
	imageEnv     = "SILLBOOK_TEST_IMAGE"
	defaultImage = "sillbook-postgres:local"

	engineAnswersWithin = 5 * time.Second
	containerReadyIn    = time.Minute
)

// Container starts a server in a container, when an engine answers soon and the image is there.
func Container(ctx context.Context) (*Server, error) {
	image := cmp.Or(os.Getenv(imageEnv), defaultImage)
	quiet()
	if err := imagePresent(ctx, image); err != nil {
		return nil, err
	}
	c, err := testcontainers.Run(ctx, image,
		testcontainers.WithEnv(map[string]string{"POSTGRES_PASSWORD": "sillbook"}),
		testcontainers.WithExposedPorts("5432/tcp"),
		testcontainers.WithCmd("postgres", "-c", "fsync=off", "-c", "full_page_writes=off", "-c", "max_connections=200"),
	)
	if err != nil {
		return nil, fmt.Errorf("starting %s: %w", image, err)
	}
	release, err := afterwards(`docker rm --force --volumes "$1" >/dev/null 2>&1`, c.GetContainerID())
	if err != nil {
		return nil, err
	}
	endpoint, err := c.PortEndpoint(ctx, "5432/tcp", "")
	if err != nil {
		return nil, err
	}
	s := &Server{
		URL:  "postgres://postgres:sillbook@" + endpoint + "/postgres?sslmode=disable",
		What: "a container of " + image,
		stop: func() error {
			err := testcontainers.TerminateContainer(c)
			_ = release() // the container has gone already
			return err
		},
	}
	if err := answers(ctx, s.URL); err != nil {
		_ = s.stop()
		return nil, fmt.Errorf("the container of %s: %w", image, err)
	}
	return s, nil
}

// quiet sets what the library reads from the environment when it is first used: no helper container, whose
// image would be pulled, and the loopback address for a local engine's ports, even when this process is itself
// in a container, with the engine beside it.
func quiet() {
	setDefault := func(name, value string) {
		if _, set := os.LookupEnv(name); !set {
			_ = os.Setenv(name, value)
		}
	}
	setDefault("TESTCONTAINERS_RYUK_DISABLED", "true")
	if host := os.Getenv("DOCKER_HOST"); host == "" || strings.HasPrefix(host, "unix:") {
		setDefault("TESTCONTAINERS_HOST_OVERRIDE", "127.0.0.1")
	}
	tclog.SetDefault(log.New(io.Discard, "", 0))
}

// imagePresent asks the engine for the image. The library's first contact takes no deadline, so a hanging
// engine is left behind.
func imagePresent(ctx context.Context, image string) error {
	answer := make(chan error, 1)
	go func() {
		defer func() {
			if fell := recover(); fell != nil { // what the library does on some machines without an engine
				answer <- fmt.Errorf("no Docker engine answers: %v", fell)
			}
		}()
		provider, err := testcontainers.NewDockerProvider()
		if err != nil {
			answer <- fmt.Errorf("no Docker engine answers: %w", err)
			return
		}
		defer provider.Close()
		if _, err := provider.Client().ImageInspect(ctx, image); err != nil {
			answer <- fmt.Errorf("the image %s: %w", image, err)
			return
		}
		answer <- nil
	}()
	select {
	case err := <-answer:
		return err
	case <-time.After(engineAnswersWithin):
		return fmt.Errorf("the Docker engine did not answer within %s", engineAnswersWithin)
	}
}

// answers waits until the server takes connections.
func answers(ctx context.Context, url string) error {
	ctx, cancel := context.WithTimeout(ctx, containerReadyIn)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, url)
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("it does not take connections: %w", err)
		case <-time.After(100 * time.Millisecond):
		}
	}
}
