package postgres

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"github.com/go-json-experiment/json"
	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"sillbook/internal/fault"
	"sillbook/internal/overlay"
	"sillbook/internal/trade"
	"sillbook/internal/trade/law"
)

const selectOverlayVersions = `
select id, version
from overlay
where organization_id = $1
  and not ended
order by id`

const selectOverlays = `
select body
from overlay
where organization_id = $1
  and not ended
order by id`

// localLaw keeps the rules of the organizations that have overlays, by which overlays they are. What is kept may be forgotten.
type localLaw struct {
	mutex sync.Mutex
	rules map[string]*trade.Rules
}

// mostLocalLaws is how many organizations' rules are kept; each is some hundred kilobytes.
const mostLocalLaws = 64

func (l *localLaw) find(key string) *trade.Rules {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	return l.rules[key]
}

func (l *localLaw) keep(key string, rules *trade.Rules) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if l.rules == nil || len(l.rules) >= mostLocalLaws {
		l.rules = map[string]*trade.Rules{}
	}
	l.rules[key] = rules
}

// RulesOf are the rules that answer in the caller's organization: federal law and the overlays entered there.
func (s *Store) RulesOf(ctx context.Context, call Call) (rules *trade.Rules, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		rules, err = t.rules()
		return err
	})
	return rules, err
}

// OverlaysOf are the overlays that are entered in the caller's organization.
func (s *Store) OverlaysOf(ctx context.Context, call Call) (overlays []law.Overlay, err error) {
	err = s.read(ctx, call, func(t *Tx) error {
		overlays, err = t.overlays()
		return err
	})
	return overlays, err
}

// rules are the rules that answer in the transaction's organization. They are found once a transaction.
func (t *Tx) rules() (*trade.Rules, error) {
	if t.law != nil {
		return t.law, nil
	}
	var key strings.Builder
	err := t.query(func(rows pgx.Rows) error {
		for rows.Next() {
			var id uuid.UUID
			var version int
			if err := rows.Scan(&id, &version); err != nil {
				return err
			}
			fmt.Fprintf(&key, "%s %d\n", id, version)
		}
		return rows.Err()
	}, selectOverlayVersions, t.organization())
	if err != nil {
		return nil, err
	}
	if t.law = t.store.rules; key.Len() == 0 {
		return t.law, nil
	}
	if t.law = t.store.local.find(key.String()); t.law != nil {
		return t.law, nil
	}
	overlays, err := t.overlays()
	if err != nil {
		return nil, err
	}
	book, err := t.store.rules.Law.With(overlays)
	if err != nil {
		return nil, unreadableOverlay(err)
	}
	if t.law, err = trade.New(book); err == nil {
		t.store.local.keep(key.String(), t.law)
	}
	return t.law, err
}

func (t *Tx) overlays() ([]law.Overlay, error) {
	var bodies [][]byte
	if err := t.query(rowsOf(&bodies, pgx.RowTo[[]byte]), selectOverlays, t.organization()); err != nil {
		return nil, err
	}
	overlays := make([]law.Overlay, len(bodies))
	for i, body := range bodies {
		if err := json.Unmarshal(body, &overlays[i]); err != nil {
			return nil, err
		}
		if err := overlay.Ready(&overlays[i]); err != nil {
			return nil, unreadableOverlay(err)
		}
	}
	return overlays, nil
}

// unreadableOverlay is the fault of an overlay that was taken once and that this program cannot read: answering without it
// could protect less.
func unreadableOverlay(err error) error {
	return fault.New(fault.Internal, "overlay_not_read", "An overlay on record cannot be read, and nothing is judged without it.").Because(err).
		Fix("Correct the overlay: PATCH /v1/overlays/{id}.")
}
