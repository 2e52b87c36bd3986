package people

// For the tests from outside, which see what measuring makes of real photographs.
var (
	Traces   = traces
	TracesIn = found
)

// TemplatesIn reads a file of templates.
func TemplatesIn(file []byte) (out []Template, err error) {
	s, err := decode(file)
	if err != nil {
		return nil, err
	}
	for _, id := range s.ids() {
		for _, f := range s.frames[id] {
			if f.person != 0 {
				out = append(out, f.template)
			}
		}
	}
	return out, nil
}
