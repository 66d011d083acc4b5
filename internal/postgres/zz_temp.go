package postgres

import "github.com/google/uuid"

// rejudgeRenovation stands until jobs are stored.
func (t *Tx) rejudgeRenovation(uuid.UUID) error { return nil }
