package cull

import "errors"

// Why an action is refused. Plan wraps one of these in a sentence.
var (
	// ErrNothing: the action would change nothing, so nothing is journalled.
	ErrNothing = errors.New("nothing to do")
	// ErrNotShown: a key of the station meant a frame that had not been drawn.
	ErrNotShown = errors.New("the frame had not been shown yet")
	// ErrUnknownFrame: no frame of the job has that name or id.
	ErrUnknownFrame = errors.New("no such frame")
	// ErrAmbiguous: a name or a part of an id fits several frames.
	ErrAmbiguous = errors.New("more than one frame is meant")
	// ErrUnknownPass: no pass of that name has been defined.
	ErrUnknownPass = errors.New("no such pass")
	// ErrNotInPass: the pass asks nothing about that frame.
	ErrNotInPass = errors.New("the frame is not in the pass")
	// ErrAnswer: the answer does not exist in that pass.
	ErrAnswer = errors.New("no such answer here")
	// ErrBadAction: the action or the entry makes no sense whatever the state.
	ErrBadAction = errors.New("cannot be done")
)
