// Package exif takes from TIFF structures what the camera says about an exposure:
// Exif (CIPA DC-008) tags in IFD0 and the Exif IFD, the interoperability IFD, and
// the few plain fields of maker notes that Exif has no tag for. It decodes no
// pictures and guesses nothing.
package exif
