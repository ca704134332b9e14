package agreement

import "slices"

// Again is a trial to look at once more.
type Again struct {
	Trial    int     // index of the trial
	Disagree float64 // share of pairs of judges that differ
	Decisive bool    // they differ on whether it was held: the disagreement that changes a map
}

// LookAgain lists the trials that judges do not agree on, those on which success hangs first, then by how many differ.
// said[j][u] is judge j's word for trial u, empty where they did not judge it; success names the outcome that counts.
func LookAgain(said [][]string, success string) []Again {
	var list []Again
	if len(said) == 0 {
		return nil
	}
	for u := range said[0] {
		var words []string
		for j := range said {
			if w := said[j][u]; w != "" {
				words = append(words, w)
			}
		}
		differ, pairs, held := 0, 0, 0
		for i, a := range words {
			if a == success {
				held++
			}
			for _, b := range words[i+1:] {
				pairs++
				if a != b {
					differ++
				}
			}
		}
		if differ > 0 {
			list = append(list, Again{Trial: u, Disagree: float64(differ) / float64(pairs), Decisive: held > 0 && held < len(words)})
		}
	}
	slices.SortStableFunc(list, func(a, b Again) int {
		switch {
		case a.Decisive != b.Decisive:
			if a.Decisive {
				return -1
			}
			return 1
		case a.Disagree != b.Disagree:
			if a.Disagree > b.Disagree {
				return -1
			}
			return 1
		}
		return a.Trial - b.Trial
	})
	return list
}

// Confusion counts the trials that both judges saw, by what they said; outcomes gives the order of rows and columns.
func Confusion(first, second, outcomes []string) Table {
	t := make(Table, len(outcomes))
	for i := range t {
		t[i] = make([]float64, len(outcomes))
	}
	for u := range first {
		i, j := slices.Index(outcomes, first[u]), slices.Index(outcomes, second[u])
		if i >= 0 && j >= 0 {
			t[i][j]++
		}
	}
	return t
}
