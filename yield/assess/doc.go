// Package assess answers the question Mastworth is for: it takes one request and returns one estimate, energy and money
// at every tower height beside the solar array of equal cost. It is pure: no input or output, no clock, no randomness
// but what the request seeds, so that the command and the service give the same answer to the last byte.
package assess
