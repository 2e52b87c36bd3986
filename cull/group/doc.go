// Package group puts a job's frames in order and finds what belongs together:
// bursts, exposure series, scenes. Its functions are pure: the same frames and
// options give the same layout, whatever order the frames come in.
//
// Order: by corrected time, then name. Frames of one body with the same time
// follow its counter, because names start again after 9999. Frames without a
// time come after all others, by name, and are a scene of their own. Times are
// compared as the corrected clocks show them; zones are left aside, since a
// body whose time is right often carries a zone that nobody ever set. A moment
// is one run: what another body took during a burst comes after the burst.
package group
