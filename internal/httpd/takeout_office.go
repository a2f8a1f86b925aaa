package httpd

import (
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/people"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/signin"
)

func officeLists() []takenList {
	return []takenList{
		{name: "employers", title: "Employers", action: access.SeePeople, says: "An employer", write: employerList},
		{name: "appointments", title: "Appointments", action: access.SeePeople, says: "A responsible person of a field, and from when to when", write: appointmentList},
		{name: "accounts", title: "Accounts", action: access.SeeAccounts, says: "An account with its roles and its last sign-in", write: accountList},
		{name: "batches", title: "Files brought in", action: access.SeeEntries, says: "A file that was brought in, its hash and who vouched", write: batchList},
		{name: "arrivals", at: "/intakes/{intake}/arrivals", title: "Arrivals", action: access.SeeArrivals, says: "A trainee of an intake with what was seen when they came", write: arrivalList},
		{name: "proposals", title: "Certificates to give", action: access.SeeCertificates, says: "A trainee whose programme is complete and who has no certificate of it yet, and what holds it", write: proposalList},
		{name: "reports", title: "To report to the scheme", action: access.SeeCertificates, says: "A certificate given here that the scheme was not told of, with what the report needs", write: reportList},
		{name: "complaints", title: "Complaints and appeals", action: access.SeeComplaints, says: "A complaint or an appeal and where it stands, without names or texts", asks: []string{"year", "of"}, write: complaintList},
		{name: "incidents", title: "Incidents", action: access.SeeIncidents, says: "An incident or near miss, without names", write: incidentList},
		{name: "entries", title: "Ledger", action: access.SeeEntries, says: "An entry of the ledger", asks: []string{"first"}, write: entryList},
	}
}

func employerList(v *visit, t *taking) error {
	return v.plain(t, []string{"Employer"}, func(*records.Lists) error {
		return each(t, v.ref.Employers.All(v.today), func(e people.Employer) []any { return []any{v.ref.Text(e.Name)} })
	})
}

func appointmentList(v *visit, t *taking) error {
	return v.plain(t, []string{"Field", "Person", "From", "Last day"}, func(*records.Lists) error {
		return each(t, v.ref.Appointments.All(v.today), func(a people.Appointment) []any {
			return []any{planning.FieldName(a.Field), v.ref.StaffName(a.Person), a.From, a.Until}
		})
	})
}

func accountList(v *visit, t *taking) error {
	return v.plain(t, []string{"Name", "E-mail", "Roles", "Last sign-in", "State"}, func(l *records.Lists) error {
		list, err := l.Accounts()
		if err != nil {
			return err
		}
		return each(t, list, func(a records.AccountRow) []any {
			x := signin.Account{Account: a.Account, AccountUse: a.AccountUse, Name: a.Name}
			_, state := v.accountState(x)
			return []any{accountName(x), a.Email, roleList(a.Roles), v.at(a.LastSignIn), state}
		})
	})
}

func batchList(v *visit, t *taking) error {
	return v.plain(t, []string{"Brought in", "List", "File", "SHA-256", "Rows", "Taken", "Taken with caution", "Refused", "Vouched for by", "Taken back", "Batch"}, func(l *records.Lists) error {
		list, err := l.Batches()
		if err != nil {
			return err
		}
		return each(t, list, func(b records.BatchRow) []any {
			return []any{v.at(b.At), listNames[b.List], b.Name, b.File, b.Rows, b.Taken, b.Cautions, b.Refused, b.By, yes(b.Back), string(b.ID)}
		})
	})
}

// entryList is the ledger in its order, from an entry on.
func entryList(v *visit, t *taking) error {
	first := max(0, numberField(v.r.URL.Query(), "first"))
	return v.fromRecords(t, func(l *records.Lists) error {
		from := ""
		if first > 0 {
			from = strconv.FormatInt(first, 10)
		}
		if err := t.begin(v, "Ledger to entry "+strconv.FormatInt(l.Entry, 10), filters("From entry", from)...); err != nil {
			return err
		}
		if err := t.heads("Entry", "Recorded", "Happened", "Counts from", "Act", "Kind", "Record", "Revision", "By", "Role", "For", "Body"); err != nil {
			return err
		}
		return rows(t, l.Entries(first), func(e records.EntryRow) []any {
			by := e.By
			if by == "" {
				by = string(e.Actor) // erased, or not of this yard
			}
			return []any{e.Index, v.at(e.Recorded()), v.at(e.Happened()), e.EffectiveDay, e.Act, kindWords(e.Kind), e.ID, e.Rev, by, e.Role, e.For, string(e.Body)}
		})
	})
}
