// Package api is the HTTP face of a lab: huma handlers over package workflow, the event stream, and the OpenAPI 3.1
// contract at /api/openapi.json out of which the page's client is generated.
//
// At this edge angles are degrees, lengths mm, forces N, masses g, times s, each with its unit in the name; an
// orientation is a unit quaternion (w, x, y, z) and, for reading, tilt, azimuth and roll.
package api
