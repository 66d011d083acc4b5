// Package overlays holds published examples of what states and cities ask beyond federal law, ready to be entered: each file is
// the body of an overlay. They are examples, read on the dates that their notes give, and no complete statement of any place's
// law; check them with the place before relying on them.
package overlays

import "embed"

// Files are the overlays, a file a place.
//
//go:embed *.yaml
var Files embed.FS
