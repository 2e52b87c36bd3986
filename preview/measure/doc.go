// Package measure measures what helps the eye in one file: how sharp it is and where,
// how much of it is clipped, and the faces in it. What that means is not said here.
package measure
