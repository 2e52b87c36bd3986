package face

// opening is how far an eye is open, as the eye aspect ratio of Soukupová and Čech,
// Real-Time Eye Blink Detection using Facial Landmarks (CVWW 2016): p1 and p4 are the
// corners, p2 and p3 the upper lid, p5 and p6 the lower one, from below p3 back to
// below p2. It is the mean height by the width; 0 where there is no width.
func opening(p [6]Point) float64 {
	width := p[0].distance(p[3])
	if width == 0 {
		return 0
	}
	return (p[1].distance(p[5]) + p[2].distance(p[4])) / (2 * width)
}
