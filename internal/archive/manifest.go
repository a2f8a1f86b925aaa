package archive

// Manifest stands last in an archive and tells what it holds.
type Manifest struct {
	Format  string `json:"format"`
	Version string `json:"version"` // of the program that wrote it
	Made    string `json:"made"`    // UTC, RFC 3339
	Origin  string `json:"origin"`  // of the ledger, as in its signed heads
	Entries int64  `json:"entries"` // of the ledger
	Head    string `json:"head"`    // the newest signed head; "" before the first entry
	Key     bool   `json:"key"`     // the signing key is in it
	Files   []File `json:"files"`   // every other member, in order
}

// File is one member of an archive.
type File struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	Lines  int64  `json:"lines"`  // records; 0 for what is no list
	SHA256 string `json:"sha256"` // in hex
}

func (m Manifest) file(name string) (File, bool) {
	for _, f := range m.Files {
		if f.Name == name {
			return f, true
		}
	}
	return File{}, false
}
