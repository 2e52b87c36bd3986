// Package like finds the frames that a picture may show among those of many archived
// jobs: a picture that a client sends back, cropped, made smaller, brighter or
// black-and-white, coded anew, with a stamp on it or as a photograph of a telephone's
// screen.
//
// Of every frame there is its look (cull.Look): hashes of the whole picture and of windows
// of it. They are kept in Columns, a file that is read through once for
// each question:
//
//   - first every row is compared with few of the crops that the picture may be, so few
//     that each of the others is near one of them, and by one window before all others;
//   - the nearest thousands of rows are compared with every crop (pix.Query);
//   - the nearest of those once more, with the crop moved until it fits (pix.Closer).
//
// Where thumbnails are kept the picture is then laid on those of the nearest frames
// (Picture.Closer, package overlay), which tells what hashes do not: frames of one place
// from one another, and what small crops show.
package like
