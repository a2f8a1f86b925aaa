package httpd

import (
	"slices"

	"rungbook/internal/access"
)

// route is one address: what it needs and who answers. An empty action is open
// to visitors who are not signed in.
type route struct {
	method, pattern string
	action          access.Action
	handle          func(*visit) error
}

const get, post = "GET", "POST"

// routes is every address of the program.
func routes() []route {
	return slices.Concat(doorRoutes(), accountRoutes(), yardRoutes(), sessionRoutes(), planRoutes(), recordRoutes(), takeOutRoutes(), archiveRoutes(), backupRoutes(), setUpRoutes(), bringingRoutes(), runningRoutes(), beforeRoutes(), photoRoutes(), checkListRoutes(), incidentRoutes(), weatherRoutes(), sumRoutes(), arrivalRoutes(), circuitRoutes(), completingRoutes(), kitRoutes(), rescueRoutes(), dossierRoutes(), reportRoutes(), complaintRoutes())
}

// doorRoutes are how somebody comes in.
func doorRoutes() []route {
	return []route{
		{get, "/sign-in", "", signInForm},
		{post, "/sign-in", "", signIn},
		{post, "/sign-out", "", signOut},
		{post, "/theme", "", setTheme},
		{get, "/first-administrator", "", firstAdministratorForm},
		{post, "/first-administrator", "", firstAdministrator},
	}
}

// yardRoutes are the yard, its rigs and the rule book.
func yardRoutes() []route {
	return []route{
		{get, "/", access.SeeYard, yardPage},
		{get, "/yard", access.SeeSession, minePage},
		{get, "/rigs/{rig}", access.SeeStation, rigPage},
		{get, "/stations/{station}", access.SeeStation, stationPage},
		{post, "/rigs/{rig}/state", access.ChangeRigState, setRigState},
		{post, "/stations/{station}/shut", access.ShutStation, shutStation},
		{post, "/shuts/{shut}/open", access.OpenStation, openStation},
		{post, "/inspections", access.RecordInspection, recordInspection},
		{post, "/rescue-plans/{plan}", access.ApproveRescuePlan, approvePlan},
		{get, "/coverage", access.SeeCoverage, coveragePage},
		{get, "/rule-book", access.SeeRuleBook, ruleBookPage},
		{get, "/rule-book/confirm", access.ConfirmField, confirmForm},
		{post, "/rule-book/confirm", access.ConfirmField, confirmField},
		{post, "/rule-book/next", access.ChangeRuleBook, nextRuleBook},
	}
}

// sessionRoutes are the week and what becomes of a session.
func sessionRoutes() []route {
	return []route{
		{get, "/week", access.SeeWeek, thisWeek},
		{get, "/week/{week}", access.SeeWeek, weekPage},
		{get, "/day/{day}", access.SeeWeek, dayPage},
		{get, "/day/{day}/sheets", access.SeeSession, daySheetsPage},
		{get, "/sessions/{session}", access.SeeSession, sessionPage},
		{get, "/sessions/{session}/sheet", access.SeeSession, sheetPage},
		{get, "/sessions/{session}/rescue-card", access.SeeSession, rescueCardPage},
		{get, "/book", access.SeeOptions, bookForm},
		{get, "/book/proposal", access.SeeOptions, proposalPage},
		{post, "/book", access.BookSession, bookSession},
		{get, "/sessions/{session}/move", access.MoveSession, moveForm},
		{get, "/sessions/{session}/people", access.ChangePeople, peopleForm},
		{post, "/sessions/{session}/move", access.MoveSession, moveSession},
		{post, "/sessions/{session}/others", access.ChangePeople, changeOthers},
		{get, "/sessions/{session}/stand-down", access.StandDown, standDownForm},
		{post, "/sessions/{session}/stand-down", access.StandDown, standDown},
		{get, "/sessions/{session}/again", access.SeeOptions, againPage},
		{post, "/sessions/{session}/reopen", access.ReopenSession, reopenSession},
		{post, "/sessions/{session}/book", access.BookSession, confirmSession},
		{post, "/sessions/{session}/accept", access.AcceptCaution, acceptCaution},
		{get, "/attention", access.SeeAttention, attentionPage},
	}
}

// planRoutes are planning intakes and mending a day.
func planRoutes() []route {
	return []route{
		{get, "/plan", access.PlanIntake, planForm},
		{post, "/plan", access.PlanIntake, startPlan},
		{get, "/drafts/{draft}", access.SeeDrafts, draftPage},
		{get, "/drafts/{draft}/progress", access.SeeDrafts, draftProgress},
		{post, "/drafts/{draft}/stop", access.PlanIntake, stopDraft},
		{get, "/drafts/{draft}/accept", access.AcceptDraft, acceptDraftForm},
		{post, "/drafts/{draft}/accept", access.AcceptDraft, acceptDraft},
		{post, "/drafts/{draft}/discard", access.PlanIntake, discardDraft},
		{post, "/drafts/{draft}/again", access.PlanIntake, againDraft},
		{get, "/drafts/{draft}/why", access.SeeDrafts, whyPage},
		{get, "/drafts/{draft}/against/{other}", access.SeeDrafts, comparePage},
		{post, "/drafts/{draft}/told", access.TellPeople, toldDraft},
		{get, "/mend", access.RecordLoss, mendPage},
		{post, "/mend", access.PlanIntake, startMend},
		{post, "/mend/losses", access.RecordLoss, recordLoss},
		{post, "/mend/losses/{loss}/end", access.RecordLoss, endLoss},
	}
}

// recordRoutes are people, intakes and certificates.
func recordRoutes() []route {
	return []route{
		{get, "/people", access.SeePeople, peoplePage},
		{get, "/people/{person}", access.SeePerson, personPage},
		{get, "/intakes", access.SeeIntakes, intakesPage},
		{get, "/intakes/{intake}", access.SeeIntakes, intakePage},
		{get, "/certificates", access.SeeCertificates, certificatesPage},
		{get, "/certificates/{certificate}", access.SeeCertificates, certificatePage},
		{post, "/certificates/{certificate}/{move}", access.RecordCertificate, moveCertificate},
		{get, "/path", access.SeeOwnPath, pathPage},
		{get, "/search", access.Search, searchPage},
	}
}

// runningRoutes are a session at the rig, on a phone.
func runningRoutes() []route {
	return []route{
		{get, "/yard/sessions/{session}", access.SeeSession, runningPage},
		{post, "/yard/sessions/{session}/start", access.RunSession, startRunning},
		{post, "/yard/sessions/{session}/roll", access.RunSession, callRoll},
		{post, "/yard/sessions/{session}/swap", access.RunSession, swapRunning},
		{post, "/yard/sessions/{session}/pause", access.RunSession, pauseRunning},
		{post, "/yard/sessions/{session}/resume", access.RunSession, resumeRunning},
		{post, "/yard/sessions/{session}/end", access.RunSession, endRunning},
		{get, "/yard/sessions/{session}/trainees/{trainee}", access.RunSession, noteForm},
		{post, "/yard/sessions/{session}/trainees/{trainee}", access.RunSession, noteResults},
		{post, "/yard/sessions/{session}/trainees/{trainee}/countersign", access.RunSession, countersign},
		{post, "/yard/sessions/{session}/trainees/{trainee}/countersign-drawn", access.RunSession, countersignDrawn},
		{get, "/sessions/{session}/trainees/{trainee}/own-code", access.RenewCode, ownCodeForm},
		{post, "/sessions/{session}/trainees/{trainee}/own-code", access.RenewCode, renewOwnCode},
		{get, "/yard/sessions/{session}/type-up", access.RunSession, typeUpForm},
		{post, "/yard/sessions/{session}/type-up", access.RunSession, typeUpSheet},
		{get, "/sessions/{session}/trainees/{trainee}/correct", access.CorrectSession, correctForm},
		{post, "/sessions/{session}/trainees/{trainee}/correct", access.CorrectSession, correctSession},
		{get, "/yard/sessions/{session}/sign", access.RunSession, signForm},
		{post, "/yard/sessions/{session}/sign", access.RunSession, signSession},
	}
}
