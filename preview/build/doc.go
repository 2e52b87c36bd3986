// Package build writes camera files from the public descriptions of their
// layouts: TIFF-type raws (DNG and the layout of NEF), the ISO-BMFF layout of
// CR3, RAF, and JPEG with Exif. The files carry embedded JPEGs and metadata
// where cameras put them, and dummy sensor data, a few bytes or as many as a real
// body writes, so that they look whole to a reader that locates previews. No
// picture can be developed from that sensor data.
//
// The demo shoot is made of such files, and tests build their inputs with it.
// The same input gives the same bytes: nothing here looks at a clock.
//
// Sources: TIFF 6.0 §2; Exif 2.32 (CIPA DC-008) for the tags; the DNG
// specification 1.4 for its required tags; the published description of the CR3
// boxes; for RAF and NEF, what public readers agree on.
package build
