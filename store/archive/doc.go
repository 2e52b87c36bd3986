// Package archive keeps bags: folders of files that prove themselves, as BagIt 1.0
// says (RFC 8493), so that anybody can check them without garner: sha256sum -c
// manifest-sha256.txt in the folder of the bag. It knows nothing of photographs.
//
// [Open] reads what a bag says of itself, [Check] reads every byte and says all
// that is wrong, also with bags that others made (versions 0.93 to 1.0), and
// [Grow] makes bags and adds to them.
//
// # A bag only grows
//
// Nothing of the payload is replaced or removed, ever. A file that the bag lists
// with the same SHA-256 is present; with another one it is an error. What is
// exchanged are tag files: the manifests, bag-info.txt and those that the caller
// gives. A bag whose tag files are not those of its tag manifests is left alone:
// new manifests would give checksums that fit to what somebody changed.
//
// # What is durable when
//
// Growing goes through these steps in each bag, each durable before the next:
//
//  1. growing.txt lists the payload files that are going to be added
//  2. the payload, as package copy does it: from one reading for all bags, read
//     back past the system's cache, under its final name only when it is right
//  3. growing.txt gives the checksums of that payload and of the tag files to come
//  4. manifests, bagit.txt, bag-info.txt, other tag files, tag manifests, each
//     exchanged atomically and then read back
//  5. growing.txt is removed
//
// When Grow returns and Place.Err is nil, all of it is durable and has been read
// back. Interrupted before step 3, the manifests are the former ones and valid but
// for growing.txt; interrupted later, each of them is the former or the new one,
// whole. Either way every file that the bag listed before is still there and listed,
// Check says in one sentence that the bag is being added to or that this was
// interrupted, and the next Grow completes it: to the same bytes as if nothing had
// happened, since manifests are sorted and nothing depends on a clock or on the
// order of the work. What was copied before the interruption is found present, at
// the price of reading it; what nobody wants any more, and no manifest lists, is
// removed.
//
// # Caveats
//
// Two Grows must not work on one bag at once; the claim on the job sees to that.
// Of what is present Grow reads nothing again but compares sizes: Check does that.
// Names with percent signs, backslashes and control characters, or that are not
// UTF-8, are refused: BagIt and sha256sum write them in different ways.
package archive
