// Package models holds the weights of the published networks that package face
// runs, packed, with their licences beside them. SOURCES.md says which package,
// which version and which of its bytes each is; a test makes them again from there.
//
// # Security
//
// What is unpacked is what was reviewed: every call compares the SHA-256 and
// gives an error otherwise.
package models
