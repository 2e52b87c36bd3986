// Package handoff gives the decisions to the raw editor that comes next: XMP
// sidecars beside the originals, lists of the keepers, and, if asked, a folder
// of verified copies with a folder per scene.
//
// Originals are never written. A sidecar that was there keeps every byte that
// is not ours (cull/sidecar decides, preview/xmp splices), is replaced whole or
// not at all, and is left alone when it cannot be understood. Running a handoff
// again changes nothing that did not change in between, and takes back what an
// earlier one wrote when the decision was taken back.
package handoff
