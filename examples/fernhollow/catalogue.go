package fernhollow

import "holdfast/domain"

// Hands returns the three invented hands.
func Hands() []domain.Hand {
	return []domain.Hand{
		{
			ID: "trefoil", Name: "Trefoil, three sprung fingers", Actuation: domain.ActuationMotor, Fingers: 3, RollFold: 1, Mirror: true,
			FingerLength: 0.070, PalmDiameter: 0.072, OpeningMax: 0.100, CommandUnit: "mm", CommandFull: 64, ForceMax: 7,
			FoodContact: true, Note: "Invented. A thumb against two fingers on rails, one motor with a differential; soft bars at the tips.",
		},
		{
			ID: "tweezer", Name: "Tweezer, two tendon fingers", Actuation: domain.ActuationMotor, Fingers: 2, RollFold: 2, Mirror: true,
			FingerLength: 0.085, PalmDiameter: 0.055, OpeningMax: 0.095, CommandUnit: "mm", CommandFull: 32, ForceMax: 22,
			FoodContact: true, Note: "Invented. One motor pulls both tendons through a balance bar.",
		},
		{
			ID: "mitten", Name: "Mitten, thumb and three fingers", Actuation: domain.ActuationMotor, Fingers: 4, RollFold: 1, Mirror: true,
			FingerLength: 0.090, PalmDiameter: 0.075, OpeningMax: 0.120, CommandUnit: "mm", CommandFull: 45, ForceMax: 30,
			FoodContact: false, Note: "Invented. A thumb closes against three fingers on one motor.",
		},
	}
}

// Items returns the five invented goods.
func Items() []domain.Item {
	lengthwise := domain.Turning{Fold: 2, Mirror: true}
	round := domain.Turning{Axial: true, Fold: 1, Mirror: true}
	return []domain.Item{
		{
			ID: "roll", Name: "Soft roll", Shape: domain.ShapeEllipsoid, Size: [3]float64{0.090, 0.072, 0.052}, SizeSpread: 0.07,
			Mass: 0.058, MassSpread: 0.08, Friction: 0.55, Stiffness: 900, DamageForce: 12, Turning: lengthwise, Food: true,
			Note: "Invented. Dents stay when squeezed warm.",
		},
		{
			ID: "croissant", Name: "Croissant", Shape: domain.ShapeCrescent, Size: [3]float64{0.135, 0.070, 0.048}, SizeSpread: 0.09,
			Mass: 0.062, MassSpread: 0.10, Friction: 0.45, Stiffness: 600, DamageForce: 7, Turning: domain.Turning{Fold: 1, Mirror: false}, Food: true,
			Note: "Invented. The crust flakes; the open side faces +y.",
		},
		{
			ID: "eclair", Name: "Éclair", Shape: domain.ShapeBox, Size: [3]float64{0.128, 0.036, 0.030}, SizeSpread: 0.05,
			Mass: 0.075, MassSpread: 0.06, Friction: 0.35, Stiffness: 500, DamageForce: 5, LateDamage: 2 * 3600, Turning: lengthwise, Food: true,
			Note: "Invented. Low and heavy; the glaze cracks late.",
		},
		{
			ID: "cream-puff", Name: "Cream puff", Shape: domain.ShapeEllipsoid, Size: [3]float64{0.062, 0.062, 0.046}, SizeSpread: 0.08,
			Mass: 0.040, MassSpread: 0.09, Friction: 0.50, Stiffness: 350, DamageForce: 4, LateDamage: 1 * 3600, Turning: round, Food: true,
			Note: "Invented. The shell gives way suddenly.",
		},
		{
			ID: "egg", Name: "Egg, lying", Shape: domain.ShapeEllipsoid, Size: [3]float64{0.057, 0.044, 0.044}, SizeSpread: 0.04,
			Mass: 0.061, MassSpread: 0.07, Friction: 0.40, Stiffness: 60000, DamageForce: 25, Turning: lengthwise, Food: true,
			Note: "Invented. Rolls away when pushed across its length.",
		},
	}
}

// Settings returns the three invented surroundings.
func Settings() []domain.Setting {
	open := domain.Turning{Axial: true, Fold: 1, Mirror: true}
	oneSided := domain.Turning{Fold: 1, Mirror: true}
	return []domain.Setting{
		{ID: "open-table", Name: "Open packing table", Support: domain.SupportTable, Friction: 0.40, Turning: open,
			Note: "Invented. Nothing within reach but the table."},
		{ID: "tray-wall", Name: "Tray, beside its wall", Support: domain.SupportTray, Wall: true, WallGap: 0.025, Friction: 0.35, Turning: oneSided,
			Note: "Invented. The wall stands across +x."},
		{ID: "belt-edge", Name: "Belt, near its end", Support: domain.SupportConveyor, Edge: true, EdgeGap: 0.040, Friction: 0.50, Turning: oneSided,
			Note: "Invented. The belt stands still while picking."},
	}
}
