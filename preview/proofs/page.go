package proofs

// Index is the name of the page in its folder.
const Index = "index.html"

// Page is what a client gets to see.
type Page struct {
	Title  string // must not be empty
	Studio string // who made the pictures; may be empty
	Note   string // to the client; every line is a paragraph
	Scenes []Scene
	Sheets []Paper // contact sheets that lie beside the page by SheetName, to be linked
}

// Scene is a part of the page; one without pictures is passed over.
type Scene struct {
	Name     string // "" is shown as "Pictures"
	Pictures []Picture
}

// Picture is one picture with the number by which the client names it.
type Picture struct {
	Number string // as shown, one on the page, at most 64 letters
	Alt    string // what is to be seen, for those who do not see it; "" = the number alone
	Small  File   // for the grid and the contact sheets; 480 pixels on the long edge are enough
	Large  File   // for the view; zero = Small
}

// File is a picture's file.
type File struct {
	Name          string // relative to the page, folders parted by "/"
	Width, Height int    // pixels, 1..65535
}

// InputError says what of a Page cannot be shown, and why.
type InputError struct {
	What   string // such as "picture 0412"
	Reason string
}

func (e *InputError) Error() string { return "proofs: " + e.What + " " + e.Reason }

// Files returns the names of all files that the page shows or links to, sorted,
// each once: what has to lie beside it.
func (p *Page) Files() ([]string, error) {
	l, err := p.layOut()
	if err != nil {
		return nil, err
	}
	return l.files, nil
}
