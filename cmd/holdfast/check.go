package main

import (
	"fmt"

	"holdfast/store/sqlite"
)

type checkCommand struct {
	Lab string `required:"" placeholder:"DIR" help:"Folder of the lab; a server may have it open."`
}

// Run verifies a lab: the database, the histories of its trials, its recordings, and whether its cards still match the
// trials they came from. It fails when something is lost or wrong; notes alone do not fail it.
func (c *checkCommand) Run(env *environment) error {
	lab, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return err
	}
	defer lab.Close()
	faults, err := lab.Check(env.ctx, newWorkflow(lab, labName(c.Lab)).Matches)
	if err != nil {
		return err
	}
	severe := 0
	for _, f := range faults {
		word := "note "
		if f.Severe {
			word = "FAULT"
			severe++
		}
		fmt.Fprintf(env.stdout, "%s  %v\n", word, f)
	}
	if severe > 0 {
		return fmt.Errorf("%s and %s in the lab %s", counted(severe, "fault"), counted(len(faults)-severe, "note"), c.Lab)
	}
	fmt.Fprintf(env.stdout, "The lab %s is sound: database, references, histories and recordings were checked; %s.\n", c.Lab, counted(len(faults), "note"))
	return nil
}
