package httpd

import (
	"context"

	"rungbook/internal/access"
	"rungbook/internal/complaint"
	"rungbook/internal/store"
)

// spareComplaint is a complaint that a walk may do with as it likes.
func (s *site) spareComplaint() string {
	s.Helper()
	cmd := store.Command{Key: "spare complaint", Actor: s.actorOf(access.Administrator), Role: access.Administrator}
	_, err := s.store.Write(context.Background(), cmd, func(tx *store.Tx) (store.Outcome, error) {
		of := "spare-complaint"
		_, err := tx.Put("received", 0, complaint.Complaint{ID: "spare-complaint", Kind: complaint.Grievance, Way: complaint.ByLetter, Received: monday,
			From: tx.Seal(of, "from", "A neighbour"), Text: tx.Seal(of, "text", "The gate bangs at night."), Recorded: complaint.Signed{By: cmd.Actor.Person, At: tx.Now()}})
		return "", err
	})
	if err != nil {
		s.Fatal(err)
	}
	return "spare-complaint"
}
