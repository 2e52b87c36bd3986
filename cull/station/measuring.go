package station

// measureAnew begins to measure what is not measured yet.
func (d *Desk) measureAnew() {}

// Measuring says how far measuring is; false when it does not run.
func (d *Desk) Measuring() (MeasureProgress, bool) { return MeasureProgress{}, false }

// MeasureProgress is how far measuring is.
type MeasureProgress struct{ Done, Total int }
