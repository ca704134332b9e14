// Package dense holds the kernels for symmetric positive definite matrices that the fits share: row-major, lower
// triangle, tiled, spread over workers, and with the same bits for any number of them.
package dense
