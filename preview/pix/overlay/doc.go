// Package overlay lays a picture on others of which it may be a part, and says place by
// place how it differs: that tells the frames of a burst apart, which as wholes look
// the same.
//
// # How
//
// A [Picture] is its luma at a few sizes. [Picture.On] finds where it lies on another
// one: first by trying sizes and places on small ones (normalised cross-correlation),
// then by least squares on larger ones, with an affine map (Lucas and Kanade 1981; Baker
// and Matthews 2004, forward compositional), in which what moved counts little. What
// is compared is how a pixel stands against its surroundings, so that tones and colours
// may have been changed as one likes.
//
// [Picture.Near] is for where about it lies is known already and time is short: of many
// frames that are told from one another by their thumbnails.
//
// The [Misfit] that is left has a number for each square of the picture. Whether the
// picture shows one frame rather than another is said by the difference of two of
// them ([Misfit.Against]): where nothing moved they are alike, whatever was done to the
// picture; where something moved all of them have to speak for the same frame. Whether it
// shows the frame at all is said by how much of it agrees ([Misfit.Agree]).
package overlay
