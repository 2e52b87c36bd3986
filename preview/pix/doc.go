// Package pix works on decoded pictures: it turns them upright, makes them
// smaller, and measures what helps to put like beside like. It works on the
// planes of jpeg.Image, luma and chroma apart, and reads no files.
package pix
