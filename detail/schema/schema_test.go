package schema_test

import (
	"encoding/json"
	"testing"

	"github.com/lapwright/lapwright/detail/schema"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// That the schemas are sound, and hold for the project's files, a module of its own checks.
func TestSchemas(t *testing.T) {
	for name, text := range map[string]string{
		"job": schema.Job(), "report": schema.Report(), "takeoff": schema.Takeoff(),
		"compare": schema.Compare(), "measured": schema.Measured(), "inspection": schema.Inspection(),
	} {
		var got struct {
			Schema string `json:"$schema"`
			ID     string `json:"$id"`
		}
		require.NoError(t, json.Unmarshal([]byte(text), &got))
		assert.Equal(t, "https://json-schema.org/draft/2020-12/schema", got.Schema)
		assert.Equal(t, "https://github.com/lapwright/lapwright/detail/schema/"+name+".schema.json", got.ID)
	}
}
