package api_test

import (
	"strings"
	"testing"
)

func TestRecordingScenarios(t *testing.T) {
	b := stocked(t)
	const sha = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" // of "abc", FIPS 180-4's example
	for _, s := range []scenario{
		{name: "trial with an unknown one", method: "POST", url: "/studies/rolls/trials", body: `{"key":"r0","strategy":"free","orientation":{"qw":1,"qx":0,"qy":0,"qz":0},"outcome":"held","recordings":["` + sha + `"]}`, status: 422, want: []string{`"location":"recordings[0]"`}},
		{name: "store", method: "POST", url: "/recordings?name=C:%5Cpics%5Ca.png", headers: map[string]string{"Content-Type": "image/png"}, body: "abc", status: 200, want: []string{sha, `"name":"a.png"`, `"type":"image/png"`, `"size":3`}},
		{name: "store again", method: "POST", url: "/recordings?name=a.png", headers: map[string]string{"Content-Type": "image/png"}, body: "abc", status: 200, want: []string{sha}},
		{name: "read", method: "GET", url: "/recordings/" + sha, status: 200, want: []string{"abc"}},
		{name: "not there", method: "GET", url: "/recordings/" + strings.Repeat("0", 64), status: 404, want: []string{`"kind":"notFound"`}},
		{name: "not a digest", method: "GET", url: "/recordings/..%2Flab.db", status: 404, want: []string{`"kind":"notFound"`}},
		{name: "trial with it", method: "POST", url: "/studies/rolls/trials", body: `{"key":"r1","strategy":"free","orientation":{"qw":1,"qx":0,"qy":0,"qz":0},"outcome":"held","recordings":["` + sha + `"]}`, status: 201, want: []string{`"sha256":"` + sha}, events: []string{"study", "trials"}},
	} {
		b.run(s)
	}
}
