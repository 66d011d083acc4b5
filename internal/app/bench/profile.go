package bench

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"runtime/pprof"
)

// profiles loads each server once more and writes where the time and the allocations went. The measured rounds are over
// by then, so that the profiler is in none of them. The load generator is in the profiles, small.
func (c Config) profiles(baseline, service target) error {
	if err := os.MkdirAll(c.Profile, 0o755); err != nil {
		return err
	}
	for _, of := range []struct {
		name string
		target
	}{{"bare", baseline}, {"service", service}} {
		if err := c.cpuProfile(of.name, of.target); err != nil {
			return err
		}
		if err := c.allocationProfile(of.name, of.target); err != nil {
			return err
		}
	}
	c.say("Profiles are in %s; read one with: go tool pprof FILE", c.Profile)
	return nil
}

func (c Config) cpuProfile(name string, t target) (err error) {
	file, err := os.Create(filepath.Join(c.Profile, name+"-cpu.pprof"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if err := pprof.StartCPUProfile(file); err != nil {
		return err
	}
	defer pprof.StopCPUProfile()
	_, err = t.load(c.Clients, 2*c.Length)
	return err
}

// allocationProfile writes all allocations of the program so far before the load and after it; the difference is the
// server's: go tool pprof -sample_index=alloc_space -base BEFORE AFTER.
func (c Config) allocationProfile(name string, t target) error {
	if err := c.allocations(name + "-allocations-before.pprof"); err != nil {
		return err
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	loaded, err := t.load(c.Clients, c.Length)
	if err != nil {
		return err
	}
	runtime.ReadMemStats(&after)
	answers := loaded.rate * c.Length.Seconds()
	c.say("%s: about %.0f allocations and %.0f bytes a request, the load generator's included.", name,
		float64(after.Mallocs-before.Mallocs)/answers, float64(after.TotalAlloc-before.TotalAlloc)/answers)
	return c.allocations(name + "-allocations-after.pprof")
}

func (c Config) allocations(name string) error {
	file, err := os.Create(filepath.Join(c.Profile, name))
	if err != nil {
		return err
	}
	runtime.GC() // the profile is as of the last collection
	return errors.Join(pprof.Lookup("allocs").WriteTo(file, 0), file.Close())
}
