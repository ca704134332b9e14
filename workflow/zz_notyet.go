package workflow

import "holdfast/domain"

var notYet = domain.Errorf("unavailable", "this part is being built")
