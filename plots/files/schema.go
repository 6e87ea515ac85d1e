package files

import _ "embed"

// Schema is the JSON Schema (2020-12) of what WriteJSON writes, version 2.
//
//go:embed plan.schema.json
var Schema string
