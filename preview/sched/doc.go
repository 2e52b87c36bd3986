// Package sched does pictures in order of need. Work has a class: what is
// visible now comes before what comes next, that before what lies ahead, and
// that before what is done in the background. Work that the user walked past is
// called off, whether it waits or runs.
//
// Nothing here grows with key repeat: work is named by a key, asking again for
// a key that waits or runs joins it, and the number of jobs that may wait is
// bounded in each class. The bytes that running jobs hold are bounded too,
// because a few full decodes at once are what fills a memory.
package sched
