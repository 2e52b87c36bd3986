package job

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
)

// Names of scenes come again from job to job. Those that were given before are
// offered when the next is named; they stand, one a line and the latest first, in
// the user's folder for settings.
const (
	sceneNamesFile = "scenes.txt"
	maxSceneNames  = 500
	maxSceneName   = 200 // bytes
)

// UsedSceneNames returns the names that were given to scenes before, the latest
// first. configDir is os.UserConfigDir; a file that is not there or cannot be read
// has no names.
func UsedSceneNames(configDir string) []string {
	path := sceneNamesPath(configDir)
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
		return nil
	}
	text, err := readUpTo(path, maxSceneNames*(maxSceneName+1))
	if err != nil {
		return nil
	}
	var names []string
	seen := map[string]bool{}
	for line := range strings.Lines(string(text)) {
		name := cleanSceneName(line)
		if key := strings.ToLower(name); name != "" && !seen[key] && len(names) < maxSceneNames {
			seen[key] = true
			names = append(names, name)
		}
	}
	return names
}

// RememberSceneName puts a name in front of those that were given before. A name
// that says nothing, such as a number, is not remembered. An error is no reason to
// stop: only the list lacks the name.
func RememberSceneName(configDir, name string) error {
	name = cleanSceneName(name)
	if name == "" || strings.Trim(name, "0123456789") == "" {
		return nil
	}
	names := UsedSceneNames(configDir)
	if len(names) > 0 && names[0] == name {
		return nil
	}
	names = slices.DeleteFunc(names, func(other string) bool { return strings.EqualFold(other, name) })
	names = append([]string{name}, names[:min(len(names), maxSceneNames-1)]...)
	path := sceneNamesPath(configDir)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return fmt.Errorf("the scene's name is not remembered for other jobs: %w", err)
	}
	err := replaceFile(path, func(w io.Writer) error {
		_, err := io.Copy(w, bytes.NewBufferString(strings.Join(names, "\n")+"\n"))
		return err
	})
	if err != nil {
		return fmt.Errorf("the scene's name is not remembered for other jobs: %w", err)
	}
	return nil
}

func sceneNamesPath(configDir string) string {
	return filepath.Join(configDir, studioFolder, sceneNamesFile)
}

// cleanSceneName makes a name fit for a line of the file and for a terminal.
func cleanSceneName(s string) string {
	s = strings.Join(strings.Fields(cull.Plain(strings.TrimSpace(s))), " ")
	if len(s) > maxSceneName {
		s = strings.ToValidUTF8(s[:maxSceneName], "")
	}
	return strings.TrimSpace(s)
}
