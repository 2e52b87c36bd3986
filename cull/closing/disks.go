package closing

import (
	"slices"

	"garner/store/volume"
)

// disks says what is against it in where the proven bags lie.
func (r *runner) disks() []string {
	var bags []lying
	for _, p := range r.places {
		if p.Proven {
			bags = append(bags, lying{p.Dir, p.vol})
		}
	}
	return apart(r.job.Root(), bags, r.o.VolumeOf)
}

// lying is a proven bag, and the volume that it lies on.
type lying struct {
	dir string
	vol volume.Volume
}

// What is said of a place that counts for nothing; its folder stands before it.
const (
	inMemory = " lies in memory: it is gone when the machine is switched off"
	onDisk   = " lies on the same disk as the job"
)

// apart says what is against it that bags lie on two disks, none of them that of the job:
// what is on one may be lost at once. It is what offload asks for before a card is
// formatted.
func apart(root string, bags []lying, volumeOf func(string) (volume.Volume, error)) []string {
	own, err := volumeOf(root)
	if err != nil {
		return []string{"it cannot be told on which disk the job lies"}
	}
	var near []string
	var apart []volume.Volume
	for _, b := range bags {
		switch {
		case b.vol.Memory:
			near = append(near, b.dir+inMemory)
		case b.vol.SameDisk(own):
			near = append(near, b.dir+onDisk)
		case !slices.ContainsFunc(apart, b.vol.SameDisk):
			apart = append(apart, b.vol)
		}
	}
	switch {
	case len(apart) >= 2:
		return nil
	case len(apart) == 1:
		return append(near, "there would be only one copy (another disk with --also makes two)")
	case len(near) == 0:
		return []string{"no bag is proven"}
	}
	return near
}
