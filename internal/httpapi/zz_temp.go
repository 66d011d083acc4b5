package httpapi

import "sillbook/api"

// rest stands for the operations that have no handler yet.
type rest struct{ api.StrictServerInterface }
