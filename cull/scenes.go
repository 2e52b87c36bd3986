package cull

import (
	"fmt"
	"maps"
)

// SceneNames returns the names given by hand, each by the frame it hangs on.
// The scene that holds the frame bears the name, so it survives regrouping.
func (s *Session) SceneNames() map[ID]string {
	names := maps.Clone(s.scenes)
	maps.DeleteFunc(names, func(_ ID, name string) bool { return name == "" })
	return names
}

// nameScenes writes the names given by hand into the layout. Where two named
// scenes were joined the earlier name wins; a name taken back gives way to the
// scene's number, and so does one of an earlier grouping.
func (s *Session) nameScenes() {
	if !s.named {
		return
	}
	for i := range s.layout.Scenes {
		s.layout.Scenes[i].Name = SceneNumber(i)
	}
	named := map[int]bool{}
	for _, p := range s.layout.Places {
		name := s.scenes[p.Frame]
		if name == "" || named[p.Scene] || p.Scene < 0 || p.Scene >= len(s.layout.Scenes) {
			continue
		}
		s.layout.Scenes[p.Scene].Name = name
		named[p.Scene] = true
	}
}

// SceneNumber is what the scene of an index from 0 is called before it has a
// name: "01", "02", …
func SceneNumber(index int) string { return fmt.Sprintf("%02d", index+1) }
