package bench

import (
	"bufio"
	"bytes"
	"fmt"
	"net"
	"slices"
	"strconv"
	"sync"
	"syscall"
	"time"
)

// target is a server under load and the requests it is sent, as they go over the wire.
type target struct {
	address  string
	requests [][]byte
}

// sample is what one round came to.
type sample struct {
	rate float64 // answers a second
	p50  time.Duration
	p99  time.Duration
	cpu  time.Duration // of this program for each answer, the load generator's included and PostgreSQL's not
}

// lead is the share of a round that passes before answers are counted.
const lead = 10

// load sends requests over the connections, each at a time of its own pace, for the length of a round. An answer other
// than 200 ends it. The generator reads no more of HTTP than it must, so that little of the measured time is its own.
func (t target) load(clients int, length time.Duration) (sample, error) {
	took, failed := make([][]time.Duration, clients), make([]error, clients)
	start, spent := time.Now(), processorTime()
	from, until := start.Add(length/lead), start.Add(length)
	var running sync.WaitGroup
	for i := range clients {
		running.Go(func() { took[i], failed[i] = t.client(i*len(t.requests)/clients, from, until) })
	}
	running.Wait()
	for _, err := range failed {
		if err != nil {
			return sample{}, err
		}
	}
	all := slices.Concat(took...)
	if len(all) == 0 {
		return sample{}, fmt.Errorf("the server at %s gave no answer in %s", t.address, length)
	}
	slices.Sort(all)
	cpu := (processorTime() - spent) * (lead - 1) / lead / time.Duration(len(all))
	return sample{cpu: cpu, rate: float64(len(all)) / until.Sub(from).Seconds(), p50: all[len(all)/2], p99: all[len(all)*99/100]}, nil
}

// processorTime is what the program has used of the processors so far.
func processorTime() time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		return 0 // the table then shows none
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// client is one connection; it begins its way through the requests at first.
func (t target) client(first int, from, until time.Time) ([]time.Duration, error) {
	c, err := dial(t.address)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	if err := c.SetDeadline(until.Add(30 * time.Second)); err != nil {
		return nil, err
	}
	took := make([]time.Duration, 0, 1<<14)
	for i := first; ; i++ {
		sent := time.Now()
		if sent.After(until) {
			return took, nil
		}
		if _, err := c.ask(t.requests[i%len(t.requests)]); err != nil {
			return nil, err
		}
		if ended := time.Now(); sent.After(from) && ended.Before(until) {
			took = append(took, ended.Sub(sent))
		}
	}
}

// connection is one that is kept alive.
type connection struct {
	net.Conn
	in *bufio.Reader
}

func dial(address string) (connection, error) {
	c, err := net.Dial("tcp", address)
	if err != nil {
		return connection{}, err
	}
	return connection{c, bufio.NewReaderSize(c, 16<<10)}, nil
}

var contentLength = []byte("Content-Length: ")

// ask sends a request and gives the answer's body, which is good until the next.
func (c connection) ask(request []byte) ([]byte, error) {
	if _, err := c.Write(request); err != nil {
		return nil, err
	}
	status, err := c.in.ReadSlice('\n')
	if err != nil {
		return nil, err
	}
	if !bytes.HasPrefix(status, []byte("HTTP/1.1 200 ")) {
		return nil, fmt.Errorf("the server at %s answered %q", c.RemoteAddr(), status)
	}
	length := -1
	for {
		line, err := c.in.ReadSlice('\n')
		if err != nil {
			return nil, err
		}
		if len(line) <= 2 {
			break
		}
		if told, ok := bytes.CutPrefix(line, contentLength); ok {
			if length, err = strconv.Atoi(string(bytes.TrimSpace(told))); err != nil {
				return nil, err
			}
		}
	}
	if length < 0 || length > c.in.Size() {
		return nil, fmt.Errorf("the server at %s told no length, or one over %d bytes", c.RemoteAddr(), c.in.Size())
	}
	body, err := c.in.Peek(length)
	if err != nil {
		return nil, err
	}
	_, err = c.in.Discard(length)
	return body, err
}
