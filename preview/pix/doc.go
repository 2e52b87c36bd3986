// Package pix works on decoded pictures: it turns them upright, makes them
// smaller, brings them to sRGB, and measures what helps to put like beside like and
// to find what is in focus. It works on the planes of jpeg.Image, luma and chroma
// apart, and reads no files.
//
// Where time goes there is vector code for amd64; plain Go gives the same bits.
package pix
