package demo

import (
	"encoding/binary"
	"math/rand/v2"
	"path"
	"strings"
	"time"
)

// extras writes what is no picture: a voice note, a movie with its thumbnail,
// DPOF, two trees of clips, and what operating systems leave on every card.
func (b *batch) extras() error {
	first := b.first()
	noon := morning.Add(30 * time.Minute)
	movie := "DCIM/102VRNHT/VRNH5000" // a number that no frame has
	files := []struct {
		card int
		path string
		data []byte
	}{
		{rawOfA, strings.TrimSuffix(first.Path, path.Ext(first.Path)) + ".WAV", voiceNote()},
		{rawOfA, movie + ".MP4", clip(1, 400<<10)},
		// DCF 2.0 §3.4: the thumbnail file of an object that is no DCF basic file.
		{rawOfA, movie + ".THM", noise(2, 6<<10)},
		// DPOF 1.10 §3: the print order of a card lies in MISC.
		{rawOfA, "MISC/AUTPRINT.MRK", []byte("[HDR]\r\nGEN REV = 01.10\r\nGEN CRT = \"Varnholt V6\"\r\nGEN DTM = 2026:09:12:12:00:00\r\n")},
		{rawOfA, "PRIVATE/VRNCLIPS/CLIP/C0001.MP4", clip(3, 700<<10)},
		{rawOfA, "PRIVATE/VRNCLIPS/CLIP/C0001M01.XML", []byte("<?xml version=\"1.0\"?>\n<clip name=\"C0001\" serial=\"00417302\" seconds=\"4\"/>\n")},
		{rawOfA, "PRIVATE/VRNCLIPS/CLIPS.IDX", noise(4, 900)},
		// Under the names of the other body's, but other clips.
		{rawOfB, "PRIVATE/VRNCLIPS/CLIP/C0001.MP4", clip(5, 500<<10)},
		{rawOfB, "PRIVATE/VRNCLIPS/CLIP/C0001M01.XML", []byte("<?xml version=\"1.0\"?>\n<clip name=\"C0001\" serial=\"00419866\" seconds=\"3\"/>\n")},
	}
	for _, x := range files {
		f := CardFile{Path: x.path, Body: b.sum.Cards[x.card].Body, Day: b.sum.Today}
		if strings.HasSuffix(x.path, ".WAV") {
			f.Exposure = first.Exposure
		}
		if err := b.put(x.card, f, x.data, noon); err != nil {
			return err
		}
	}
	for card, list := range map[int][]string{
		rawOfA:    {".DS_Store", "._DCIM", ".Trashes/501/._VRNH0001.CR3", ".Spotlight-V100/store.db", ".fseventsd/fseventsd-uuid"},
		jpegOfA:   {"DCIM/Thumbs.db", "System Volume Information/IndexerVolumeGuid"},
		mirrorOfB: {".Trash-1000/info/VRNH0002.CR3.trashinfo", "$RECYCLE.BIN/desktop.ini"},
	} {
		for i, p := range list {
			if err := b.write(card, p, noise(uint64(100*card+i), 200), noon); err != nil {
				return err
			}
		}
		b.sum.Cards[card].Litter = list
	}
	return nil
}

// first is the raw of body A's first frame of the day.
func (b *batch) first() CardFile {
	var first CardFile
	for _, f := range b.sum.Files {
		if f.Card == rawOfA && f.Day == b.sum.Today && (first.Path == "" || f.Path < first.Path) {
			first = f
		}
	}
	return first
}

// clip has the boxes by which a movie is known, ISO/IEC 14496-12 §4.3 and §8.1.1,
// and no movie in them.
func clip(seed uint64, size int) []byte {
	be := binary.BigEndian
	b := append(be.AppendUint32(nil, 24), "ftypmp42\x00\x00\x00\x00mp42isom"...)
	b = append(be.AppendUint32(b, uint32(size-24)), "mdat"...)
	return append(b, noise(seed, size-32)...)
}

// noise is the same for the same seed.
func noise(seed uint64, size int) []byte {
	r := rand.NewChaCha8([32]byte(binary.LittleEndian.AppendUint64(make([]byte, 24), seed)))
	b := make([]byte, size)
	r.Read(b) // never fails
	return b
}
