package trialsim

// blend goes from 0 to 1 with no speed and no acceleration at both ends.
func blend(u float64) float64 {
	if u <= 0 {
		return 0
	}
	if u >= 1 {
		return 1
	}
	return u * u * u * (10 - 15*u + 6*u*u)
}
