package review

import (
	"maps"
	"slices"
	"time"

	"garner/cull"
)

const noTime = "no time"

// hourOf names the hour of a place.
func hourOf(p cull.Place, layout string) string {
	if !p.Corrected.Known() {
		return noTime
	}
	return p.Corrected.Wall.Truncate(time.Hour).Format(layout)
}

// hoursInOrder names the hours of all places in the order of time.
func hoursInOrder(places []cull.Place, layout string) []string {
	hours := map[int64]string{}
	for _, p := range places {
		if p.Corrected.Known() {
			hours[p.Corrected.Wall.Truncate(time.Hour).Unix()] = hourOf(p, layout)
		}
	}
	var names []string
	for _, h := range slices.Sorted(maps.Keys(hours)) {
		names = append(names, hours[h])
	}
	return names
}
