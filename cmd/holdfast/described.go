package main

import (
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/examples"
	"holdfast/scenes"
)

// describedHands reads the hand descriptions of a folder; the name of a file is the hand's ID. An empty folder name gives none.
func describedHands(dir string) ([]api.DescribedHand, error) {
	if dir == "" {
		return nil, nil
	}
	hands, err := handsIn(os.DirFS(dir))
	if err == nil && len(hands) == 0 {
		return nil, fmt.Errorf("%s holds no hand descriptions; their names end in .yaml", dir)
	}
	return hands, err
}

func handsIn(files fs.FS) ([]api.DescribedHand, error) {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return nil, err
	}
	var hands []api.DescribedHand
	for _, name := range names {
		hand, err := scenes.ReadHand(files, name)
		if err != nil {
			return nil, err
		}
		hands = append(hands, api.DescribedHand{ID: domain.ID(strings.TrimSuffix(name, ".yaml")), Hand: hand})
	}
	return hands, nil
}

// withShipped adds the descriptions that come with the program, except those whose ID is taken.
func withShipped(hands []api.DescribedHand) ([]api.DescribedHand, error) {
	files, err := fs.Sub(examples.Scenes(), "hands")
	if err != nil {
		return nil, err
	}
	shipped, err := handsIn(files)
	for _, d := range shipped {
		if !slices.ContainsFunc(hands, func(h api.DescribedHand) bool { return h.ID == d.ID }) {
			hands = append(hands, d)
		}
	}
	return hands, err
}
