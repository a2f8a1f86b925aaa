package running

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Photograph keeps a picture of the session's station or of a kit as it was found,
// before the session or while it runs. The picture shows and decides nothing: the
// check does. Errors: fault.Invalid at "file" or "of".
func (d *Desk) Photograph(ctx context.Context, actor access.Actor, sid id.Session, send Send, of string, picture []byte) error {
	kind, err := rig.PictureOf(picture)
	if err != nil {
		return err
	}
	if _, err := access.Require(actor, access.RunSession); err != nil { // before a file is kept for nothing
		return err
	}
	sum := sha256.Sum256(picture)
	hash := hex.EncodeToString(sum[:])
	put := func(_ *store.Tx, s *Scene, p *session.Preparation, done session.Done) error {
		asked, err := s.ToCheck()
		if err != nil {
			return err
		}
		switch {
		case !slices.ContainsFunc(asked, func(a session.ToCheck) bool { return a.Of == of }):
			return fault.Field("of", "Choose what the picture shows: the station or a kit of this session.")
		case len(p.Photos) >= session.MostPhotos:
			return fault.Field("file", "%d photos are kept of this session, which is the most. Say the rest in words.", session.MostPhotos)
		}
		p.Photos = append(slices.Clone(p.Photos), session.Photo{Of: of, Hash: hash, Type: kind, Bytes: len(picture), Done: done})
		return nil
	}
	if _, err := d.store.KeepFile(picture); err != nil {
		return err
	}
	return d.prepare(ctx, actor, sid, send, "photographed", []any{of, hash}, put)
}

// Photo is a picture of a session with its bytes.
type Photo struct {
	session.Photo
	Data []byte
}

// Photo returns a picture of a session. Errors: fault.NotFound, fault.Unusable.
func (d *Desk) Photo(ctx context.Context, actor access.Actor, sid id.Session, hash string) (out Photo, err error) {
	if _, err := access.Require(actor, access.SeeSession); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		p, err := v.Preparation(sid)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(p.Photos, func(x session.Photo) bool { return x.Hash == hash })
		if i < 0 {
			return fault.New(fault.NotFound, "There is no such photo of this session.")
		}
		out.Photo = p.Photos[i]
		out.Data, err = v.File(hash)
		return err
	})
	return out, err
}
