package job

// Exclusively runs fn while nobody else changes the catalogue or the manifest. fn
// must be short and must not use the job.
func (j *Job) Exclusively(fn func() error) error { return j.db.Exclusively(fn) }
