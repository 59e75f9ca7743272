package verify

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"

	"github.com/lapwright/lapwright/detail"
	"github.com/lapwright/lapwright/units"
)

// keep writes a report into the folder that LAPWRIGHT_REPORTS names, if it names one, so that each report of the tests
// can be held against the published schema outside of them. Equal reports are one file.
func keep(r *detail.Report) {
	folder := os.Getenv("LAPWRIGHT_REPORTS")
	if folder == "" {
		return
	}
	var b bytes.Buffer
	err := r.WriteJSON(&b, units.In)
	sum := sha256.Sum256(b.Bytes())
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, hex.EncodeToString(sum[:])+".json"), b.Bytes(), 0o644)
	}
	if err != nil {
		panic(err) // this package is for tests
	}
}
