// Package migrations holds the schema as numbered steps, forward only: expand, then contract.
package migrations

import "embed"

// Files are the steps, NNNNN_name.sql, in order.
//
//go:embed *.sql
var Files embed.FS
