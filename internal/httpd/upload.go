package httpd

import (
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"unicode/utf8"

	"rungbook/internal/fault"
	"rungbook/internal/rig"
)

// takesFile reports whether a request may bring a file that is kept: evidence of a
// rig, or a photo of a check.
func takesFile(r *http.Request) bool {
	evidence := strings.HasPrefix(r.URL.Path, "/rigs/") && strings.Contains(r.URL.Path, "/dossier/")
	photo := strings.HasPrefix(r.URL.Path, "/yard/sessions/") && strings.HasSuffix(r.URL.Path, "/photo")
	return r.Method == http.MethodPost && (evidence || photo)
}

// upload is the file of a form.
type upload struct {
	name  string
	data  []byte
	cut   int  // bytes behind a picture that are not kept (rig.Trim)
	large bool // too large to be read; what was typed is shown again
}

// readUpload reads a form with a file. Its parts are read as they come, so that
// nothing of them is put on a disk before the file is known to be one that is taken.
func readUpload(r *http.Request) (url.Values, upload, error) {
	f, file := url.Values{}, upload{}
	parts, err := r.MultipartReader()
	if err != nil {
		return f, file, fault.New(fault.Invalid, "The form could not be read. Open the page again and fill it in anew.")
	}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = readPart(part, f, &file)
		}
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			file.large = true
			break
		}
		if fault.Of(err) == fault.Invalid {
			return f, file, err
		}
		if err != nil {
			return f, file, fault.New(fault.Invalid, "The form did not arrive whole. Send it again.")
		}
	}
	if !utf8Values(f) {
		return f, file, errUnreadable
	}
	return f, file, nil
}

// longestField is how many bytes of a typed field are read.
const longestField = 4 << 10

func readPart(part *multipart.Part, f url.Values, file *upload) error {
	name := part.FormName()
	if name == "file" {
		if !utf8.ValidString(part.FileName()) {
			return errUnreadable
		}
		file.name = filepath.Base(strings.ReplaceAll(part.FileName(), `\`, "/"))
		data, err := io.ReadAll(part)
		file.data, file.cut = rig.Trim(data)
		return err
	}
	if len(f) > 30 || !utf8.ValidString(name) {
		return errUnreadable
	}
	text, err := io.ReadAll(io.LimitReader(part, longestField))
	f.Add(name, string(text))
	return err
}

// without says what of the file is not kept, after a sentence that says it is.
func (u upload) without() string {
	if u.cut == 0 {
		return ""
	}
	return " " + sizeWords(u.cut) + " behind the picture were left out."
}

// handOut sends a file as it was put in: always to be saved, never to be shown as a
// page of ours.
func (v *visit) handOut(kind rig.FileType, name string, data []byte) error {
	h := v.w.Header()
	h.Set("Content-Type", string(kind))
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": fileName(name) + kind.Ending()}))
	h.Set("Content-Length", strconv.Itoa(len(data)))
	h.Set("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'; sandbox")
	v.mayTakeLong()
	if _, err := v.w.Write(data); err != nil {
		v.log.Debug("the reader left", "path", v.r.URL.Path)
	}
	return nil
}
