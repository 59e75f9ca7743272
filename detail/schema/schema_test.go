package schema_test

import (
	"encoding/json"
	"io/fs"
	"testing"

	"github.com/lapwright/lapwright/detail/schema"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// That the schemas are sound, and hold for the project's files, a module of its own checks.
func TestSchemas(t *testing.T) {
	names, err := fs.Glob(schema.Files(), "*")
	require.NoError(t, err)
	assert.Len(t, names, 6)
	for _, name := range []string{"job", "report", "takeoff", "compare", "measured", "inspection"} {
		text, err := fs.ReadFile(schema.Files(), name+".schema.json")
		require.NoError(t, err)
		var got struct {
			Schema string `json:"$schema"`
			ID     string `json:"$id"`
		}
		require.NoError(t, json.Unmarshal(text, &got))
		assert.Equal(t, "https://json-schema.org/draft/2020-12/schema", got.Schema)
		assert.Equal(t, "https://github.com/lapwright/lapwright/detail/schema/"+name+".schema.json", got.ID)
	}
}
