// Package render cuts a finished picture to all sizes that are wanted of it, from
// one decode: rows become linear light of each set's space, go through as many
// resamplers as there are cuts, are sharpened, turned upright, stamped and coded,
// and each file is decoded once as a check before anybody gets it.
//
//	Picture.Rows → Converter → Feed → Resampler → Curve → Sharpener → Turner → Sheet → Write → Check
//
// A cut of all pixels of a JPEG that is in the set's space already, with nothing
// laid onto it or sharpened, takes the decoded planes as they are: no sample is
// converted there and back.
//
// Bytes come in and bytes go out; where files lie, and what they are called, is
// for the caller. The same picture and the same cuts give the same bytes.
//
// # Errors
//
// A picture that is not whole, or whose colours cannot be understood, is an error of
// Render: there is nothing to cut. What is wrong with one cut alone (a form that must
// not be cropped, a limit of bytes that cannot be kept) is the error of its Result.
package render
