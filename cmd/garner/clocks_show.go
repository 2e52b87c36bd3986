package main

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/clocks"
	"garner/cull/clocks/match"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/way"
)

// showClocks says how each body's clock is corrected and what the pictures say.
func (d desk) showClocks(s job.Status, found []clocks.Proposal, dir string) {
	for _, b := range s.Bodies {
		text := clockText(b.Body)
		if text == "" {
			text = ", clock as it was set"
		}
		d.sayf("body %-2s %s, %s%s", orDash(b.Letter), bodyName(b.Body), count(b.Frames, "frame"), text)
		for _, p := range found {
			if p.Clock.Key == b.Key {
				d.sayf("  %s", proposalText(p))
			}
		}
	}
	sure, _ := clocks.Sure(found)
	if len(sure) > 0 {
		d.hintf("garner clocks %s --apply sets what is sure", dir)
	}
	for _, p := range found {
		if p.Confidence != match.CannotTell && !p.Stands && (len(p.Clock.Offsets) > 0 || !p.Whole) {
			d.hintf("by hand: garner clocks %s --set %s", dir, setWords(p))
		}
	}
	for _, b := range s.Bodies {
		if b.Usual != nil {
			name := bodyLetter(b.Body)
			d.hintf("the studio file says that the clock of body %s is usually corrected by %s: garner clocks %s --set %s=%s", name, match.Signed(*b.Usual), dir, shellWord(name), match.Signed(*b.Usual))
		}
	}
	switch {
	case len(s.Bodies) == 0:
		d.sayf("no body is known yet: %s", way.Next(way.Words{Job: dir}, s, output.Standing{}, nil))
	case len(found) == 0 && len(s.Bodies) > 1:
		d.sayf("the pictures have not been compared: garner prepare %s measures them", dir)
	}
}

// proposalText is a proposal as one sentence.
func proposalText(p clocks.Proposal) string {
	right := "body " + bodyLetter(p.Right)
	stretch := ""
	if !p.From.IsZero() {
		stretch = "from " + cull.Plain(p.Begins.Name) + " (" + p.From.Format("2006-01-02 15:04:05") + " on its clock) on: "
	}
	if p.Confidence == match.CannotTell {
		return stretch + "cannot tell whether it agrees with " + right + ": " + cull.Plain(p.Reason)
	}
	says := "with " + match.Signed(p.Add) + " it agrees with " + right
	if p.Stands {
		says = "as corrected it agrees with " + right
		if p.Add.Abs() < time.Second {
			says = "it agrees with " + right
		}
	}
	text := fmt.Sprintf("%s%s: %s, by %s of the day, to within %s", stretch, says, p.Confidence, count(p.Moments, "moment"), roughly(p.Spread))
	if p.Reason != "" {
		text += "; " + cull.Plain(p.Reason)
	}
	if len(p.Shows) > 0 {
		var shows []string
		for _, e := range p.Shows[:min(2, len(p.Shows))] {
			shows = append(shows, cull.Plain(e[0].Name)+" = "+cull.Plain(e[1].Name))
		}
		text += " (" + strings.Join(shows, ", ") + ")"
	}
	return text
}

// roughly is how well the matching frames agree: nobody presses more exactly than
// that.
func roughly(spread time.Duration) string {
	if spread <= time.Second {
		return "1 s"
	}
	return spread.Round(time.Second).String()
}

// setWords is what --set takes to set a proposal.
func setWords(p clocks.Proposal) string {
	words := bodyLetter(p.Clock) + "=" + match.Signed(p.Add)
	if !p.From.IsZero() {
		words += "@" + p.Begins.Name
	}
	if shellWord(words) == words || !strings.ContainsAny(words, " \"$`'\\!") {
		return cull.Plain(words)
	}
	return shellWord(words)
}

func fromText(from time.Time) string {
	if from.IsZero() {
		return ""
	}
	return " from " + from.Format("2006-01-02 15:04:05") + " on"
}

// bodyLetter is how a body is called in a command.
func bodyLetter(b cull.Body) string {
	if b.Letter == "" {
		return cull.Plain(b.Serial)
	}
	return cull.Plain(b.Letter)
}

type jsonProposal struct {
	From       *string     `json:"from"` // on the body's own clock; null = from the start
	FromFrame  *string     `json:"from_frame"`
	Frames     int         `json:"frames"`
	Against    string      `json:"against"`
	Seconds    *float64    `json:"seconds"` // to be added; null = cannot tell
	Confidence string      `json:"confidence"`
	Reason     *string     `json:"reason"`
	Pairs      int         `json:"pairs"`
	Moments    int         `json:"moments"`
	Spread     float64     `json:"spread_seconds"`
	Rival      float64     `json:"rival"` // share of the next best offset
	Stands     bool        `json:"stands"`
	Examples   [][2]string `json:"examples"`
}

// clockObjects writes an object for each body.
func (d desk) clockObjects(s job.Status, found []clocks.Proposal) error {
	for i, b := range statusObject(s).Bodies {
		list := []jsonProposal{}
		for _, p := range found {
			if p.Clock.Key == s.Bodies[i].Key {
				list = append(list, proposalObject(p))
			}
		}
		err := d.object(struct {
			V int `json:"v"`
			jsonBody
			Proposals []jsonProposal `json:"proposals"`
		}{1, b, list})
		if err != nil {
			return err
		}
	}
	return nil
}

func proposalObject(p clocks.Proposal) jsonProposal {
	o := jsonProposal{Frames: p.Frames, Against: bodyLetter(p.Right), Confidence: p.Confidence.String(), Reason: known(p.Reason),
		Pairs: p.Pairs, Moments: p.Moments, Spread: p.Spread.Seconds(), Rival: p.Rival, Stands: p.Stands, Examples: [][2]string{}}
	if p.Confidence != match.CannotTell {
		seconds := p.Add.Seconds()
		o.Seconds = &seconds
	}
	if !p.From.IsZero() {
		from := p.From.Format("2006-01-02T15:04:05.999")
		o.From, o.FromFrame = &from, known(p.Begins.Name)
	}
	for _, e := range p.Shows {
		o.Examples = append(o.Examples, [2]string{e[0].Name, e[1].Name})
	}
	return o
}
