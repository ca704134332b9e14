package scenes

import (
	"io/fs"
	"path"

	"holdfast/domain"
	"holdfast/mechanics/trialsim"
)

// gravity is standard gravity (m/s²; ISO 80000-3).
const gravity = 9.80665

// ReadCondition reads what a condition of a lab is simulated with: hands/ID.yaml, items/ID.yaml, settings/ID.yaml and
// strategies/KIND.yaml, under standard gravity and without errors of placement of its own. alias tells the names that files call
// otherwise than the lab. A file that is missing or faulty is told by name.
func ReadCondition(files fs.FS, alias map[string]string, c domain.Condition) (*trialsim.Scene, error) {
	name := func(kind string, id string) string {
		if other, ok := alias[id]; ok {
			id = other
		}
		return path.Join(kind, id+".yaml")
	}
	hand, err := ReadHand(files, name("hands", string(c.Hand)))
	if err != nil {
		return nil, err
	}
	item, err := ReadItem(files, name("items", string(c.Item)))
	if err != nil {
		return nil, err
	}
	setting, err := ReadSetting(files, name("settings", string(c.Setting)))
	if err != nil {
		return nil, err
	}
	strategy, err := ReadStrategy(files, name("strategies", string(c.Strategy)))
	if err != nil {
		return nil, err
	}
	return &trialsim.Scene{Hand: *hand, Item: *item, Setting: *setting, Strategy: *strategy, Gravity: gravity}, nil
}
