package app

import (
	"strings"
	"testing"
)

// A fault while computing the findings leaves the build open, and says so.
func TestAFaultInTheFindingsIsSaid(t *testing.T) {
	if r, err := results(nil); r != nil || err == nil || !strings.HasPrefix(err.Error(), ComputingFailed) {
		t.Errorf("a fault gives %v, %v", r, err)
	}
}
