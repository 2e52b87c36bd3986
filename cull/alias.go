package cull

// SetAliases is SetAlias for several frames at once, former id → id: groups are put
// right once.
func (s *Session) SetAliases(now map[ID]ID) {
	changed := false
	for former, id := range now {
		changed = s.setAlias(former, id) || changed
	}
	if changed {
		s.aliased()
	}
}

// SetAlias says that the frame known as former is now known as id, because
// more was learned of it. Its decisions, scene name and steps of undo follow.
// Where both had been decided, the later decision stands.
func (s *Session) SetAlias(former, id ID) {
	if s.setAlias(former, id) {
		s.aliased()
	}
}

func (s *Session) aliased() {
	if len(s.base.Places) > 0 && (len(s.made) > 0 || s.named) {
		s.correct()
	}
	s.version++
}

func (s *Session) setAlias(former, id ID) (changed bool) {
	former, id = s.canon(former), s.canon(id)
	if former == id {
		return false
	}
	moved := append(s.formerly[former], former)
	for _, a := range moved {
		s.alias[a] = id
	}
	s.formerly[id] = append(s.formerly[id], moved...)
	delete(s.formerly, former)
	for pass, decisions := range s.answers {
		d, ok := decisions[former]
		if !ok {
			continue
		}
		delete(decisions, former)
		if d.Seq > decisions[id].Seq {
			s.set(pass, id, d)
		}
	}
	if ms, ok := s.touched[former]; ok {
		s.touched[id] = max(ms, s.touched[id])
		delete(s.touched, former)
	}
	if name, ok := s.scenes[former]; ok {
		if s.scenes[id] == "" {
			s.scenes[id] = name
		}
		delete(s.scenes, former)
	}
	if s.only.ids[former] {
		delete(s.only.ids, former)
		s.only.ids[id] = true
	}
	return true
}

// canon gives the id under which a frame is known now.
func (s *Session) canon(id ID) ID {
	if now, ok := s.alias[id]; ok {
		return now
	}
	return id
}
