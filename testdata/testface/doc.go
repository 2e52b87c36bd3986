// Package testface holds what other programs say of the networks of package face: the
// npm packages that publish them, run in node (preview/face/testdata/node), now or
// when goldens.json was written.
package testface
