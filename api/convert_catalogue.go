package api

import "holdfast/domain"

func fromHand(h domain.Hand) Hand {
	return Hand{
		ID: string(h.ID), Name: h.Name, Actuation: string(h.Actuation), Fingers: h.Fingers, RollFold: h.RollFold, Mirror: h.Mirror,
		FingerLengthMM: tidy(h.FingerLength / mm), PalmDiameterMM: tidy(h.PalmDiameter / mm), OpeningMaxMM: tidy(h.OpeningMax / mm),
		CommandUnit: h.CommandUnit, CommandFull: h.CommandFull, ForceMaxN: h.ForceMax, FoodContact: h.FoodContact,
		Note: h.Note, Meta: fromMeta(h.Meta),
	}
}

func (h Hand) domain() domain.Hand {
	return domain.Hand{
		ID: domain.ID(h.ID), Name: h.Name, Actuation: domain.Actuation(h.Actuation), Fingers: h.Fingers, RollFold: h.RollFold, Mirror: h.Mirror,
		FingerLength: tidy(h.FingerLengthMM * mm), PalmDiameter: tidy(h.PalmDiameterMM * mm), OpeningMax: tidy(h.OpeningMaxMM * mm),
		CommandUnit: h.CommandUnit, CommandFull: h.CommandFull, ForceMax: h.ForceMaxN, FoodContact: h.FoodContact, Note: h.Note,
	}
}

func fromTurning(t domain.Turning) Turning {
	return Turning{Axial: t.Axial, Fold: max(t.Fold, 1), Mirror: t.Mirror}
}

func (t Turning) domain() domain.Turning {
	return domain.Turning{Axial: t.Axial, Fold: t.Fold, Mirror: t.Mirror}
}

func fromItem(it domain.Item) Item {
	return Item{
		ID: string(it.ID), Name: it.Name, Shape: string(it.Shape),
		SizeXMM: tidy(it.Size[0] / mm), SizeYMM: tidy(it.Size[1] / mm), SizeZMM: tidy(it.Size[2] / mm), SizeSpread: it.SizeSpread,
		MassG: tidy(it.Mass / gram), MassSpread: it.MassSpread, Friction: it.Friction, StiffnessNPerM: tidy(it.Stiffness * mm),
		DamageForceN: it.DamageForce, LateDamageH: tidy(it.LateDamage / hour), Turning: fromTurning(it.Turning), Food: it.Food,
		Note: it.Note, Meta: fromMeta(it.Meta),
	}
}

func (it Item) domain() domain.Item {
	return domain.Item{
		ID: domain.ID(it.ID), Name: it.Name, Shape: domain.Shape(it.Shape),
		Size:       [3]float64{tidy(it.SizeXMM * mm), tidy(it.SizeYMM * mm), tidy(it.SizeZMM * mm)},
		SizeSpread: it.SizeSpread, Mass: tidy(it.MassG * gram), MassSpread: it.MassSpread, Friction: it.Friction,
		Stiffness: tidy(it.StiffnessNPerM / mm), DamageForce: it.DamageForceN, LateDamage: it.LateDamageH * hour,
		Turning: it.Turning.domain(), Food: it.Food, Note: it.Note,
	}
}

func fromSetting(s domain.Setting) Setting {
	return Setting{
		ID: string(s.ID), Name: s.Name, Support: string(s.Support), Wall: s.Wall, WallGapMM: tidy(s.WallGap / mm),
		Edge: s.Edge, EdgeGapMM: tidy(s.EdgeGap / mm), Friction: s.Friction, Turning: fromTurning(s.Turning),
		Note: s.Note, Meta: fromMeta(s.Meta),
	}
}

func (s Setting) domain() domain.Setting {
	return domain.Setting{
		ID: domain.ID(s.ID), Name: s.Name, Support: domain.Support(s.Support), Wall: s.Wall, WallGap: tidy(s.WallGapMM * mm),
		Edge: s.Edge, EdgeGap: tidy(s.EdgeGapMM * mm), Friction: s.Friction, Turning: s.Turning.domain(), Note: s.Note,
	}
}
