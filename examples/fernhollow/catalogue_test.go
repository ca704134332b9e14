package fernhollow

import (
	"math"
	"testing"

	"holdfast/examples"
	"holdfast/orient"
	"holdfast/scenes"
)

// Shipped goods are those of the demonstration's catalogue: the same sizes, masses and damage.
func TestShippedItemsAreTheCatalogues(t *testing.T) {
	for _, want := range Items() {
		it, err := scenes.ReadItem(examples.Scenes(), "items/"+string(want.ID)+".yaml")
		if err != nil {
			t.Error(err)
			continue
		}
		if it.Name != want.Name || math.Abs(it.Mass-want.Mass) > 1e-9 || it.Friction != want.Friction || it.DamageForce != want.DamageForce ||
			math.Abs(it.Stiffness-want.Stiffness) > 1e-9 || it.SizeSpread != want.SizeSpread || it.MassSpread != want.MassSpread {
			t.Errorf("%s is %+v, the catalogue has %+v", want.ID, it, want)
		}
		// Along the setting's axes as it lies; a bent one is measured over its ends.
		for k := range 3 {
			var axis orient.Vec3
			axis[k] = 1
			high := it.Shape.Support(it.Rest.Inverse().Apply(axis)).Dot(it.Rest.Inverse().Apply(axis))
			axis[k] = -1
			low := it.Shape.Support(it.Rest.Inverse().Apply(axis)).Dot(it.Rest.Inverse().Apply(axis))
			if size := high + low; math.Abs(size-want.Size[k]) > 0.0015 {
				t.Errorf("%s is %.1f mm long along %c, the catalogue has %.1f mm", want.ID, size*1e3, "xyz"[k], want.Size[k]*1e3)
			}
		}
	}
}
