package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"garner/cull"
	"garner/cull/demo"
)

// demoCards makes the cards of an invented wedding, and says what to do with them.
func (d desk) demoCards(ctx context.Context, dir string, o demo.Options) error {
	o.Progress = func(done, total int) { d.progressf("drawing an invented wedding: %d of %d frames", done, total) }
	_, statErr := os.Stat(dir)
	sum, err := demo.MakeCards(ctx, dir, o)
	if err != nil {
		if os.IsNotExist(statErr) {
			os.RemoveAll(dir) // half a wedding is no demo; the folder is of our making
		}
		return err
	}
	d.sayf("an invented wedding on %s in %s: %s, %s", count(len(sum.Cards), "card"), cull.Plain(dir), count(sum.Frames, "frame"), size(sum.Bytes))
	command := []string{"garner offload"}
	for _, c := range sum.Cards {
		d.sayf("  %s: body %s, slot %d, %s: %s", c.Dir, c.Body, c.Slot, count(c.Files, "file"), c.What)
		command = append(command, shellWord(filepath.Join(dir, c.Dir)))
	}
	beside := filepath.Dir(filepath.Clean(dir))
	command = append(command, "--job", shellWord(filepath.Join(beside, "Demo job")), "--also", shellWord(filepath.Join(beside, "Demo copy")))
	d.sayf("%s of %s are of last week; %s on %s is damaged, its twin is whole", count(sum.LastWeek, "frame"), sum.Before, sum.Damaged.Path, sum.Cards[sum.Damaged.Card].Dir)
	d.sayf("next: %s", strings.Join(command, " "))
	d.sayf("only the wedding, without last week: add --day %s", sum.Today)
	return nil
}
