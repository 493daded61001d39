package main

import "testing"

func TestUnreachableIsNotClean(t *testing.T) {
	for said, want := range map[string]bool{
		`govulncheck: fetching vulnerabilities: Get "https://vuln.go.dev/index/modules.json.gz": dial tcp: no such host`: true,
		"=== Symbol Results ===\n\nVulnerability #1: GO-2024-0001":                                                       false,
		"govulncheck: loading packages: ...":                                                                             false,
		"":                                                                                                               false,
	} {
		if got := unreachable(said); got != want {
			t.Errorf("%q: %v, want %v", said, got, want)
		}
	}
}
