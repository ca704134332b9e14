package embedded_test

import (
	"testing"

	"holdfast/bus"
	"holdfast/bus/embedded"
	"holdfast/domain"
)

func TestConformance(t *testing.T) {
	bus.TestConformance(t, embedded.Backlog, func(*testing.T) domain.Bus { return embedded.New() })
}
