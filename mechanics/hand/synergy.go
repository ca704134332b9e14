package hand

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Synergy returns the joint angles per motor travel (rad/m, joints × cords, row by row) of a hand whose cords do not stretch
// and that meets nothing: S = K⁻¹Rᵀ(R·K⁻¹·Rᵀ)⁻¹ with the cords' arms R and joint stiffnesses K (N m/rad) (G. Grioli, M. G.
// Catalano et al., IJRR 33 (2014), adaptive synergy, equation from memory; DESIGN.md, eq. 10). All cords are taken as taut.
func (t *Transmission) Synergy(stiffness []float64) ([]float64, error) {
	n, cords := t.joints, t.Cords()
	if len(stiffness) != n {
		return nil, fmt.Errorf("%d stiffnesses for %d joints", len(stiffness), n)
	}
	soft := mat.NewDense(n, cords, nil)
	for j, k := range stiffness {
		if !(k > 0) {
			return nil, fmt.Errorf("joint %d: stiffness is %g; it must be above 0", j+1, k)
		}
		for i := range cords {
			soft.Set(j, i, t.arms[i*n+j]/k)
		}
	}
	var drawn, inverse, synergy mat.Dense
	drawn.Mul(mat.NewDense(cords, n, t.arms), soft)
	if err := inverse.Inverse(&drawn); err != nil {
		return nil, fmt.Errorf("two cords run alike over the joints, so that one travel decides the other: %w", err)
	}
	synergy.Mul(soft, &inverse)
	return append([]float64(nil), synergy.RawMatrix().Data...), nil
}

// SoftGrasp is a hand that holds an item softly everywhere, for small changes about a grasp: contacts, joints and motors
// are springs, and joint references move along synergies (A. Bicchi, M. Gabiccini, M. Santello 2011; D. Prattichizzo, M.
// Malvezzi, M. Gabiccini, A. Bicchi, IEEE T-RO (2013), abstract read, equations from memory; DESIGN.md, eq. 13). How
// Jacobian and grasp map change with the grasp (geometric stiffness) is left out.
type SoftGrasp struct {
	Jacobian  *mat.Dense // contact motion per joint angle; contact components × joints
	Grasp     *mat.Dense // wrench on the item per contact force; wrench components × contact components
	Contacts  *mat.Dense // stiffness of contacts, contact components squared
	Joints    *mat.Dense // N m/rad, joints squared
	Synergies *mat.Dense // rad per synergy, joints × synergies
	Drives    *mat.Dense // stiffness of the synergies' drives, synergies squared
}

// SoftResponse is the small change that a command and a wrench bring about.
type SoftResponse struct {
	Force   []float64 // contact forces of the hand on the item, N
	Torque  []float64 // at joints, N m
	Joint   []float64 // rad
	Synergy []float64 // what the drives really reached
	Drive   []float64 // force of the drives on their synergies
	Item    []float64 // motion of the item, m and rad
}

func (g *SoftGrasp) check() (contacts, joints, wrench, synergies int, err error) {
	for _, m := range []*mat.Dense{g.Jacobian, g.Grasp, g.Contacts, g.Joints, g.Synergies, g.Drives} {
		if m == nil || m.IsEmpty() {
			return 0, 0, 0, 0, fmt.Errorf("a soft grasp needs all six of its matrices")
		}
	}
	contacts, joints = g.Jacobian.Dims()
	wrench, _ = g.Grasp.Dims()
	_, synergies = g.Synergies.Dims()
	for _, d := range []struct {
		name          string
		m             *mat.Dense
		rows, columns int
	}{
		{"grasp map", g.Grasp, wrench, contacts}, {"contact stiffness", g.Contacts, contacts, contacts}, {"joint stiffness", g.Joints, joints, joints},
		{"synergies", g.Synergies, joints, synergies}, {"stiffness of synergies", g.Drives, synergies, synergies},
	} {
		if r, c := d.m.Dims(); r != d.rows || c != d.columns {
			return 0, 0, 0, 0, fmt.Errorf("the %s is %d×%d; the Jacobian asks for %d×%d", d.name, r, c, d.rows, d.columns)
		}
	}
	return contacts, joints, wrench, synergies, nil
}

// Respond returns the change under a change of the synergies' references and a wrench on the item (force, then moment).
func (g *SoftGrasp) Respond(reference, wrench []float64) (SoftResponse, error) {
	_, n, w, z, err := g.check()
	if err != nil {
		return SoftResponse{}, err
	}
	if len(reference) != z || len(wrench) != w {
		return SoftResponse{}, fmt.Errorf("%d references for %d synergies, wrench of %d components where the grasp map has %d", len(reference), z, len(wrench), w)
	}
	// Unknown are joints, item, synergies. With f = Kc(Jq − Gᵀu) and τ = Kq(Sζ − q):
	// joints τ − Jᵀf = 0, item G·f + w = 0, synergies Sᵀτ − Kz(z − ζ) = 0.
	var pull, jkj, jkg, gkg, ks, sks mat.Dense
	pull.Mul(g.Contacts, g.Jacobian)
	jkj.Mul(g.Jacobian.T(), &pull)
	jkj.Add(&jkj, g.Joints)
	jkg.Mul(pull.T(), g.Grasp.T())
	var kg mat.Dense
	kg.Mul(g.Contacts, g.Grasp.T())
	gkg.Mul(g.Grasp, &kg)
	ks.Mul(g.Joints, g.Synergies)
	sks.Mul(g.Synergies.T(), &ks)
	sks.Add(&sks, g.Drives)
	size := n + w + z
	system, right := mat.NewDense(size, size, nil), mat.NewVecDense(size, nil)
	put := func(row, column int, m mat.Matrix, sign float64) {
		r, c := m.Dims()
		for i := range r {
			for j := range c {
				system.Set(row+i, column+j, sign*m.At(i, j))
			}
		}
	}
	put(0, 0, &jkj, 1)
	put(0, n, &jkg, -1)
	put(0, n+w, &ks, -1)
	put(n, 0, jkg.T(), -1)
	put(n, n, &gkg, 1)
	put(n+w, 0, ks.T(), -1)
	put(n+w, n+w, &sks, 1)
	for i, v := range wrench {
		right.SetVec(n+i, v)
	}
	driven := mat.NewVecDense(z, nil)
	driven.MulVec(g.Drives, mat.NewVecDense(z, append([]float64(nil), reference...)))
	for i := range z {
		right.SetVec(n+w+i, driven.AtVec(i))
	}
	x := mat.NewVecDense(size, nil)
	if err := x.SolveVec(system, right); err != nil {
		return SoftResponse{}, fmt.Errorf("the grasp does not hold the item in every direction: %w", err)
	}
	at := func(from, length int) *mat.VecDense { return x.SliceVec(from, from+length).(*mat.VecDense) }
	q, u, s := at(0, n), at(n, w), at(n+w, z)
	var squash, force, item, torque, reached, drive mat.VecDense
	squash.MulVec(g.Jacobian, q)
	item.MulVec(g.Grasp.T(), u)
	squash.SubVec(&squash, &item)
	force.MulVec(g.Contacts, &squash)
	reached.MulVec(g.Synergies, s)
	reached.SubVec(&reached, q)
	torque.MulVec(g.Joints, &reached)
	drive.MulVec(g.Synergies.T(), &torque)
	list := func(v *mat.VecDense) []float64 { return append([]float64(nil), v.RawVector().Data[:v.Len()]...) }
	return SoftResponse{list(&force), list(&torque), list(q), list(s), list(&drive), list(u)}, nil
}

// Stiffness returns the stiffness that the item feels, wrench components squared, row by row: G·Keq·Gᵀ with
// Keq = (Kc⁻¹ + J·Kq⁻¹·Jᵀ + J·S·Kz⁻¹·Sᵀ·Jᵀ)⁻¹, springs in series from contact to drive.
func (g *SoftGrasp) Stiffness() ([]float64, error) {
	if _, _, _, _, err := g.check(); err != nil {
		return nil, err
	}
	var sum, joints, drives, moved, tmp, all, left, stiffness mat.Dense
	if err := sum.Inverse(g.Contacts); err != nil {
		return nil, fmt.Errorf("contact stiffness: %w", err)
	}
	if err := joints.Inverse(g.Joints); err != nil {
		return nil, fmt.Errorf("joint stiffness: %w", err)
	}
	if err := drives.Inverse(g.Drives); err != nil {
		return nil, fmt.Errorf("stiffness of synergies: %w", err)
	}
	moved.Mul(g.Synergies, &drives)
	tmp.Mul(&moved, g.Synergies.T())
	joints.Add(&joints, &tmp)
	left.Mul(g.Jacobian, &joints)
	all.Mul(&left, g.Jacobian.T())
	sum.Add(&sum, &all)
	var equal, half mat.Dense
	if err := equal.Inverse(&sum); err != nil {
		return nil, fmt.Errorf("compliance of the grasp: %w", err)
	}
	half.Mul(g.Grasp, &equal)
	stiffness.Mul(&half, g.Grasp.T())
	return append([]float64(nil), stiffness.RawMatrix().Data...), nil
}

// InSeries returns the stiffness of springs one after another, 1/Σ(1/k): the softest rules.
func InSeries(stiffness ...float64) float64 {
	sum := 0.0
	for _, k := range stiffness {
		sum += 1 / k
	}
	return 1 / sum
}

// Compliance writes how a point of a link, in the world (m), gives under a small force (m/N, 3×3, row by row) with the joints'
// stiffness at Q: C = J·Kq⁻¹·Jᵀ (J. K. Salisbury 1980, from memory). A joint without stiffness gives infinities. Call
// [State.Update] before.
func (s *State) Compliance(dst []float64, link int, point Vec) {
	clear(dst[:9])
	for i := 0; i <= link; i++ {
		arm := s.Lever(i, point)
		_, k := s.chain.joints[i].elastic(s.Q[i])
		v := [3]float64{arm.X, arm.Y, arm.Z}
		for r := range 3 {
			for c := range 3 {
				dst[3*r+c] += v[r] * v[c] / k
			}
		}
	}
}
