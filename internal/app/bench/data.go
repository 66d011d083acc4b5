package bench

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"sync"

	"github.com/google/uuid"

	"sillbook/internal/credential"
)

// unit is one that was made: where it is, and how each server is asked for it.
type unit struct {
	organization uuid.UUID
	id           uuid.UUID
	key          string
}

// unitsOfBuilding is how many units a building has.
const unitsOfBuilding = 25

// makeUnits makes invented homes through the public API; the same seed tells the same facts of them.
func (c Config) makeUnits(address string, keys []string) ([]unit, error) {
	made, failed := make([][]unit, len(keys)), make([]error, len(keys))
	var running sync.WaitGroup
	for i, key := range keys {
		count := c.Units / len(keys)
		if i < c.Units%len(keys) {
			count++
		}
		running.Go(func() {
			l := landlord{address: address, key: key, random: rand.New(rand.NewPCG(c.Seed, uint64(i)))}
			made[i], failed[i] = l.build(count)
		})
	}
	running.Wait()
	var units []unit
	for _, of := range made {
		units = append(units, of...)
	}
	return units, errors.Join(failed...)
}

// landlord fills one organization.
type landlord struct {
	address string
	key     string
	random  *rand.Rand
}

func (l landlord) build(count int) ([]unit, error) {
	who, err := credential.Parse("Bearer " + l.key)
	if err != nil {
		return nil, err
	}
	var units []unit
	var building uuid.UUID
	for n := range count {
		if n%unitsOfBuilding == 0 {
			if building, err = l.building(n/unitsOfBuilding + 1); err != nil {
				return nil, err
			}
		}
		id, err := l.create("units", map[string]any{"building_id": building, "name": fmt.Sprintf("%d", n%unitsOfBuilding+1),
			"kind": "dwelling", "bedrooms": l.random.IntN(4), "rented": "yes", "windows": 2 + l.random.IntN(8),
			"external_ids": []any{map[string]any{"system": "rentals", "value": fmt.Sprintf("U-%05d", n)}}})
		if err != nil {
			return nil, err
		}
		units = append(units, unit{organization: who.Organization, id: id, key: l.key})
	}
	return units, nil
}

func (l landlord) building(n int) (uuid.UUID, error) {
	property, err := l.create("properties", map[string]any{"name": fmt.Sprintf("Invented Court %d", n), "time_zone": "America/New_York",
		"address": map[string]any{"street": fmt.Sprintf("%d Invented Street", n), "city": "Millbrook", "region": "ZZ"}})
	if err != nil {
		return uuid.Nil, err
	}
	return l.create("buildings", map[string]any{"property_id": property, "name": "House A",
		"build_year": map[string]any{"year": 1900 + l.random.IntN(110), "source": "tax_record", "certainty": "recorded"}})
}

func (l landlord) create(path string, body any) (uuid.UUID, error) {
	text, err := json.Marshal(body)
	if err != nil {
		return uuid.Nil, err
	}
	request, err := http.NewRequest(http.MethodPost, "http://"+l.address+"/v1/"+path, bytes.NewReader(text))
	if err != nil {
		return uuid.Nil, err
	}
	request.Header.Set("Authorization", "Bearer "+l.key)
	request.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return uuid.Nil, err
	}
	defer answer.Body.Close()
	if text, err = io.ReadAll(answer.Body); err != nil {
		return uuid.Nil, err
	}
	if answer.StatusCode != http.StatusCreated {
		return uuid.Nil, fmt.Errorf("the service did not create one of /v1/%s: %s: %s", path, answer.Status, text)
	}
	var record struct {
		ID uuid.UUID `json:"id"`
	}
	return record.ID, json.Unmarshal(text, &record)
}
