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
// scene's number.
func (s *Session) nameScenes() {
	if len(s.scenes) == 0 {
		return
	}
	named := map[int]bool{}
	for _, p := range s.layout.Places {
		name, known := s.scenes[p.Frame]
		if !known || named[p.Scene] || p.Scene < 0 || p.Scene >= len(s.layout.Scenes) {
			continue
		}
		if name == "" {
			s.layout.Scenes[p.Scene].Name = SceneNumber(p.Scene)
			continue
		}
		s.layout.Scenes[p.Scene].Name = name
		named[p.Scene] = true
	}
}

// SceneNumber is what the scene of an index from 0 is called before it has a
// name: "01", "02", …
func SceneNumber(index int) string { return fmt.Sprintf("%02d", index+1) }
