package face

// builtIn are the networks of this build.
type builtIn struct{}

func (*builtIn) finder() (network, error)   { return nil, errNotBuilt }
func (*builtIn) mesh() (network, error)     { return nil, errNotBuilt }
func (*builtIn) likeness() (network, error) { return nil, errNotBuilt }
