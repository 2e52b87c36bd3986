// Package group puts a job's frames in order and finds what belongs together:
// bursts, series, look-alikes, scenes. Its functions are pure: the same frames and
// options give the same layout, whatever order the frames come in.
//
// Order: by corrected time, then name. Frames of one body with the same time
// follow its counter, because names start again after 9999. Frames without a
// time come after all others, by name, and are a scene of their own. Times are
// compared as the corrected clocks show them; zones are left aside, since a
// body whose time is right often carries a zone that nobody ever set. A moment
// is one run: what another body took during a burst comes after the burst.
//
// Bursts are told by pace first: a pause of a few times the body's own pace ends
// one, up to 0.4 s none does, and 1.5 s always. In between, and wherever a clock
// shows whole seconds only, the frames must look alike. A step to another subject
// at full speed ends a burst where its frames are otherwise alike; where every one
// looks new, time alone decides. What is far from its first frame, as a pan soon
// is, is cut off.
//
// Series are told by exposures (brackets), by equal steps of the view (panoramas)
// and by sharpness that moves over a picture that stands still (focus stacks).
// People who stand for one picture of which the best faces are to be merged are not
// guessed: a person joins those.
package group
