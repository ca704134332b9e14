package main

type importCommand struct{}

func (importCommand) Run(env *environment) error { return nil }

type mapCommand struct{}

func (mapCommand) Run(env *environment) error { return nil }
