package closing

import (
	"context"
	"fmt"
	"strings"

	"garner/cull/job"
	"garner/cull/output"
)

// alone lists the files of sets that are left out and that render could not make again.
func alone(ctx context.Context, j *job.Job, f folder) ([]string, error) {
	var finished []output.Found
	for _, x := range f.files {
		if strings.HasPrefix(x.path, output.FinishedFolder+"/") {
			finished = append(finished, found(x))
		}
	}
	var sets []output.Found
	for _, x := range f.sets {
		sets = append(sets, found(x))
	}
	return output.Alone(ctx, j, finished, sets)
}

func found(x file) output.Found {
	return output.Found{Path: x.path, Bytes: x.size, Changed: x.mod.UnixNano()}
}

func aloneText(list []string) string {
	return fmt.Sprintf("%s of sets that could not be cut again as they are, and that no bag has (--sets takes them along): %s", count(len(list), "file"), list[0])
}
