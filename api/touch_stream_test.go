package api

import "testing"

// Who falls behind by more than is kept learns how much was lost, and goes on with what is there.
func TestAStreamKeepsTheLastReadings(t *testing.T) {
	s := newRigStream()
	next, leave := s.join()
	defer leave()
	for k := range keptReadings + 10 {
		s.put([]SensorReading{{Time: float64(k)}})
	}
	list, next, lost, more := s.since(next)
	if lost != 10 || len(list) != keptReadings || list[0].Time != 10 || list[len(list)-1].Time != keptReadings+9 || next != keptReadings+10 {
		t.Errorf("%d lost, %d readings, next %d", lost, len(list), next)
	}
	if followers := s.put([]SensorReading{{Time: 1e6}}); followers != 1 {
		t.Errorf("%d followers", followers)
	}
	select {
	case <-more:
	default:
		t.Error("who waits does not learn of more")
	}
	if list, _, lost, _ = s.since(next); lost != 0 || len(list) != 1 || list[0].Time != 1e6 {
		t.Errorf("%v, %d lost", list, lost)
	}
}
