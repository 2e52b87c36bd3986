// Package proofs makes what a client chooses pictures from: index.html, a page
// that needs nothing but the pictures beside it, and contact sheets as PDF.
//
// Nothing here knows a disk, a clock, chance or a network: a Page goes in, bytes
// come out, and the same Page gives the same bytes. Who calls puts the pictures
// where Page.Files says.
//
// # The page
//
// There is no script and nothing from elsewhere. Pictures stand by scene with
// their numbers; each is a link to a view of itself that a fragment of the address
// opens (the selector :target), with plain links to the next, to the one before, back and
// to the file. Fragments are made of numbers, so that a link to a picture
// stays right when others are added. Small pictures load as they come into sight,
// large ones when they are opened. Landmarks, a heading for every scene, lists,
// texts in place of pictures and a link past the list of scenes are what WCAG 2.2 asks for.
//
// # The sheets
//
// A PDF 1.4 file (ISO 32000-1) of a grid of the small pictures. The JPEGs are in it
// byte for byte (DCTDecode), one in memory at a time. Text is Helvetica, one of the
// fonts that every reader has, in WinAnsiEncoding: letters beyond it are shown
// without their accents or as "?", and stand whole in the outline, in the title and in
// what is copied (ActualText).
//
// # Security
//
// Every text is untrusted: control characters and marks that reorder text go, the
// rest is escaped and stands isolated from its surroundings (bdi). Names of files
// have to stay below the page's folder. The page forbids scripts to itself. Of a
// JPEG only the headers are read, by package jpeg.
package proofs
