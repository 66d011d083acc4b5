package httpapi

import (
	"context"

	"sillbook/api"
)

type rest struct{ api.StrictServerInterface }

func (rest) nothing(context.Context) {}
