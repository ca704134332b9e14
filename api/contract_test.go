package api_test

import (
	"bytes"
	"os"
	"testing"

	"holdfast/api"
)

// The page's client is generated out of this file, so a type that changed without it would break the page unseen.
func TestContractOfThePageIsTheProgramsOwn(t *testing.T) {
	const path = "../web/src/lib/api/openapi.json"
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	now, err := api.Contract()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(kept, now) {
		t.Errorf("%s is not the contract of the program any more; run make generate and commit what changes", path)
	}
	again, err := api.Contract()
	if err != nil || !bytes.Equal(now, again) {
		t.Errorf("the contract differs from one call to the next (%v)", err)
	}
}
