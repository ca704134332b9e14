package signals

// Spectrogram returns the windowed spectra of a record's segments, segment by segment from its start: at each of
// s.FrequenciesHz the square of the amplitude that a steady tone of that frequency has in the segment, in units². What is
// left at the end and fills no segment is passed over. Nothing is averaged and no mean taken off; see [PowerDensity] for
// spectra of noise.
func Spectrogram(x []float64, s Segments) ([][]float64, error) {
	if err := s.check(len(x)); err != nil {
		return nil, err
	}
	t, err := NewTransform(s.Length)
	if err != nil {
		return nil, err
	}
	w := s.Window.Samples(s.Length)
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	var list [][]float64
	for at := 0; at+s.Length <= len(x); at += s.Length - s.Overlap {
		p := make([]float64, t.Bins())
		t.WindowedPower(p, x[at:at+s.Length], w)
		for k := range p {
			p[k] *= 4 / (sum * sum)
			if k == 0 || 2*k == s.Length {
				p[k] /= 4 // zero and half the sampling rate have no mirror image
			}
		}
		list = append(list, p)
	}
	return list, nil
}
