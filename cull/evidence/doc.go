// Package evidence says what is known about the light of a scene, for the person
// who corrects its pictures: whether one correction will fit all, which frame to
// correct first, and how much brighter or darker than that one each other is.
//
// Nothing here decides anything, and nothing reads a file. Where the settings say
// nothing of the light, because a flash made part of it, they are not used; what
// the rendition shows is used instead, and said.
package evidence
