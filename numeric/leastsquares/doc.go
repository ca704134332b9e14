// Package leastsquares fits models to readings by least squares: linear ones by
// Householder's orthogonal triangles with the solution refined in doubled
// precision, nonlinear ones by Levenberg's and Marquardt's damped steps. Both
// hand back what intervals need: standard errors, covariance, residuals.
//
// Normal equations are never formed: they square the condition of the problem
// and lose the digits that a calibration lives on.
package leastsquares
