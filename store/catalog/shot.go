package catalog

func encodeShot(b []byte, s Shot) []byte {
	flash := s.Flash != nil && *s.Flash
	b = putFlags(b, s.Bias != nil, s.Flash != nil, flash, s.ManualWB, s.AutoBracket, s.Protected, s.SubjectGiven)
	b = putInt(b, int64(s.Orientation))
	b = putFloat(b, s.Seconds)
	b = putFloat(b, s.FNumber)
	b = putInt(b, int64(s.ISO))
	if s.Bias != nil {
		b = putFloat(b, *s.Bias)
	}
	b = putFloat(b, s.FocalLength)
	for _, text := range []string{s.Lens, s.Make, s.Model, s.Serial, s.Software, s.ColorSpace} {
		b = putString(b, text)
	}
	b = putInt(b, int64(s.Width))
	b = putInt(b, int64(s.Height))
	b = putInt(b, s.Counter)
	b = putInt(b, int64(s.Rating))
	b = putInt(b, int64(s.SubjectX))
	return putInt(b, int64(s.SubjectY))
}

func decodeShot(c *cursor) Shot {
	f := c.flags(7)
	s := Shot{ManualWB: f[3], AutoBracket: f[4], Protected: f[5], SubjectGiven: f[6]}
	if f[1] {
		flash := f[2]
		s.Flash = &flash
	} else if f[2] {
		c.fail(errCanonical)
	}
	s.Orientation = c.small()
	s.Seconds = c.float()
	s.FNumber = c.float()
	s.ISO = c.small()
	if f[0] {
		bias := c.float()
		s.Bias = &bias
	}
	s.FocalLength = c.float()
	for _, text := range []*string{&s.Lens, &s.Make, &s.Model, &s.Serial, &s.Software, &s.ColorSpace} {
		*text = c.word()
	}
	s.Width, s.Height = c.small(), c.small()
	s.Counter = c.int()
	s.Rating = c.small()
	s.SubjectX, s.SubjectY = c.small(), c.small()
	return s
}
