package main

import (
	"fmt"
	"strings"

	"holdfast/scenes"
)

type schemaCommand struct {
	Name string `arg:"" placeholder:"NAME" help:"One of hand, item, setting, strategy, scene."`
}

// Run prints the JSON Schema of one kind of scene file.
func (c *schemaCommand) Run(env *environment) error {
	text, ok := scenes.Schema(c.Name)
	if !ok {
		return usageError{fmt.Errorf("there is no schema %q; there are %s", c.Name, strings.Join(scenes.SchemaNames, ", "))}
	}
	_, err := env.stdout.Write(text)
	return err
}
