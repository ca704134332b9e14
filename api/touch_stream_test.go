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

// Readings that nobody follows are forgotten; who joins begins with what comes next.
func TestAStreamForgetsWhatNobodyFollows(t *testing.T) {
	s := newRigStream()
	s.put([]SensorReading{{Time: 1}, {Time: 2}})
	next, leave := s.join()
	s.put([]SensorReading{{Time: 3}})
	if list, _, lost, _ := s.since(next); lost != 0 || len(list) != 1 || list[0].Time != 3 {
		t.Errorf("%v, %d lost", list, lost)
	}
	leave()
	s.put([]SensorReading{{Time: 4}})
	if len(s.ring) != 0 {
		t.Errorf("%d readings are kept for nobody", len(s.ring))
	}
	next, leave = s.join()
	defer leave()
	s.put([]SensorReading{{Time: 5}})
	if list, _, lost, _ := s.since(next); lost != 0 || len(list) != 1 || list[0].Time != 5 {
		t.Errorf("%v, %d lost", list, lost)
	}
}

// Readings of two records are taken one record at a time.
func TestAStreamGivesOneRecordAtATime(t *testing.T) {
	s := newRigStream()
	next, leave := s.join()
	defer leave()
	s.put([]SensorReading{{Time: 1}, {Time: 2}})
	s.put([]SensorReading{{Time: 2}, {Time: 3}})
	for range 2 {
		list, after, lost, _ := s.since(next)
		if len(list) != 2 || list[1].Time != list[0].Time+1 || lost != 0 {
			t.Errorf("%v, %d lost", list, lost)
		}
		next = after
	}
	if list, _, _, _ := s.since(next); len(list) != 0 {
		t.Errorf("%v is left", list)
	}
}
