package main

import "holdfast/api"

type openapiCommand struct{}

// Run prints the contract.
func (openapiCommand) Run(env *environment) error {
	contract, err := api.Contract()
	if err != nil {
		return err
	}
	_, err = env.stdout.Write(contract)
	return err
}
