// Package cull is the deciding house of garner: what a frame, a moment, a pass
// and a decision are, and the pure reducer that turns a person's keys into
// journal entries. It knows no disk, no picture and no terminal; the time and
// whether a frame had been drawn are its inputs. It imports only the standard
// library.
package cull
