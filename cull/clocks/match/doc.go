// Package match finds how far bodies' clocks are apart from the pictures alone:
// two photographers at one wedding now and then take the same instant.
//
// # How
//
// Frames of one body taken in one go are a glimpse. Every pair of glimpses of two
// bodies that look alike votes for the difference of their times; pairs that show
// the same thing at different times vote all over the day, pairs that show the same
// instant vote for one value. A vote weighs as much as its likeness is rare: how
// rare is measured on pairs of one body's own frames that are surely not the same
// instant, and a glimpse that looks like many others says little. The offset is the
// peak of the votes under a narrow kernel, then the weighted mean of the pairs in it, each
// glimpse used once.
//
// # Several offsets
//
// A clock that was set during the day has several offsets. A body's frames are
// walked in the order of its counter; between two frames the offset may change, at
// a price, where the corrected time does not run backwards by it. A clock that was
// seen to go back, or to leap by most of a day, may change for nothing.
//
// # Confidence
//
// A peak counts if it is improbable by chance (a Poisson tail at the density of
// votes around it, times the number of places where a peak could have been), if it
// rests on several moments of the day that have nothing to do with each other, and
// if no other place has nearly as much. Anything less is said as such, with the
// reason.
package match
