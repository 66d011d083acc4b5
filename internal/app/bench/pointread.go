package bench

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
)

// pointRead measures P1: a unit read by its identifier through the whole stack (credential, tenancy, contract, log,
// metrics), and through the bare handler.
func (c Config) pointRead(ctx context.Context, url, logFile string, keys []string, t *table) (err error) {
	address, stop, err := c.serve(ctx, url, logFile)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, stop()) }()
	c.say("Making %d units in %d organizations through the API.", c.Units, len(keys))
	units, err := c.makeUnits(address, keys)
	if err != nil {
		return err
	}
	bareAddress, stopBare, err := c.serveBare(ctx, url)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, stopBare()) }()
	rand.New(rand.NewPCG(c.Seed, 0)).Shuffle(len(units), func(i, j int) { units[i], units[j] = units[j], units[i] })
	service, plain := target{address: address}, target{address: bareAddress}
	for _, u := range units {
		service.requests = append(service.requests, request(u, address, "Authorization: Bearer "+u.key))
		plain.requests = append(plain.requests, request(u, bareAddress, bareHeader+": "+u.organization.String()))
	}
	if err := same(plain, service); err != nil {
		return err
	}
	pairs, err := c.compare(ctx, plain, service)
	if err != nil {
		return err
	}
	t.pointRead(pairs)
	if c.Profile == "" {
		return nil
	}
	return c.profiles(plain, service)
}

// request is what a client writes to read the unit. Both requests have a header of about the same length.
func request(u unit, address, header string) []byte {
	return fmt.Appendf(nil, "GET /v1/units/%s HTTP/1.1\r\nHost: %s\r\nAccept: application/json\r\n%s\r\n\r\n", u.id, address, header)
}

// same demands that both servers answer every request with the same bytes. It warms both.
func same(a, b target) error {
	toA, err := dial(a.address)
	if err != nil {
		return err
	}
	defer toA.Close()
	toB, err := dial(b.address)
	if err != nil {
		return err
	}
	defer toB.Close()
	for i := range a.requests {
		fromA, err := toA.ask(a.requests[i])
		if err != nil {
			return err
		}
		fromB, err := toB.ask(b.requests[i])
		if err != nil {
			return err
		}
		if len(fromA) == 0 || !bytes.Equal(fromA, fromB) {
			return fmt.Errorf("the servers do not answer alike: %s and %s", fromA, fromB)
		}
	}
	return nil
}

// pair is one round of each.
type pair struct{ baseline, service sample }

// compare loads both in turn; who goes first alternates, so that a machine that slows down favours neither.
func (c Config) compare(ctx context.Context, baseline, service target) ([]pair, error) {
	c.say("Warming up.")
	for _, t := range []target{baseline, service} {
		if _, err := t.load(c.Clients, c.Length); err != nil {
			return nil, err
		}
	}
	pairs := make([]pair, c.Rounds)
	for n := range pairs {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		p := &pairs[n]
		order := []func() error{
			func() (err error) { p.baseline, err = baseline.load(c.Clients, c.Length); return err },
			func() (err error) { p.service, err = service.load(c.Clients, c.Length); return err }}
		for i := range order {
			if err := order[(i+n)%2](); err != nil {
				return nil, err
			}
		}
		c.say("Round %d of %d: %.0f and %.0f requests/s, %.2f.", n+1, c.Rounds, p.baseline.rate, p.service.rate, p.service.rate/p.baseline.rate)
	}
	return pairs, nil
}
