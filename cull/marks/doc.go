// Package marks is what a frame was marked with before anybody decided: its rating
// and protection in the body, which its files and the job know (cull.Shot), and a
// rating in a sidecar that came with it. Marks are facts with a source. They decide
// nothing by themselves; who asks may take them for answers (see [Expr]).
package marks
