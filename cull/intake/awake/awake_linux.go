package awake

// keep holds an inhibitor lock for as long as cat waits for the end of its input,
// which is when release closes the pipe or this program is gone (systemd-inhibit(1):
// the lock is held while the command runs).
func keep(why string) func() {
	return hold(patience, "systemd-inhibit", "--what=idle:sleep", "--who=garner", "--why="+why, "--mode=block", "cat")
}
