package demo

import (
	"rungbook/internal/access"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// staffRow is a member of staff. teaches names families of exercises. renewal is
// in how many days from today the yearly renewal of what they may teach and of
// their rescue competence falls due.
type staffRow struct {
	key, name string
	weekdays  []int
	teaches   []string
	rescuer   bool
	renewal   int
}

var (
	fullWeek  = []int{1, 2, 3, 4, 5}
	shortWeek = []int{1, 2, 3, 4}
)

var staff = []staffRow{
	{"ni-mhaolchatha", "Gráinne Ní Mhaolchatha", fullWeek, []string{"theory"}, false, 201},
	{"okunrinboye", "Folasade Okunrinboye", fullWeek, []string{"theory", "tower", "rescue", "blade", "blade-rope"}, true, 143},
	{"devanny", "Cormac Devanny", fullWeek, []string{"theory", "tower", "rescue"}, true, 88},
	{"brzozowicz", "Wiesława Brzozowicz", fullWeek, []string{"tower", "rescue", "workshop"}, true, 260},
	{"vilarinho", "Tiago Vilarinho", fullWeek, []string{"theory", "tower", "blade", "blade-rope"}, true, 174},
	{"muthukaruppan", "Ilango Muthukaruppan", fullWeek, []string{"theory", "electric", "drive", "cooling"}, false, 117},
	{"hallsjo", "Linnéa Hallsjö", fullWeek, []string{"hydraulic", "cooling", "drive", "electric"}, false, 62},
	{"oyelakin", "Babajide Oyelakin", fullWeek, []string{"hydraulic", "workshop", "drive", "electric"}, false, 309},
	{"lindroos", "Mattias Lindroos", fullWeek, []string{"theory", "workshop", "blade", "cooling"}, false, 24},
	{"tierney", "Oonagh Tierney", fullWeek, []string{"tower", "workshop"}, true, 231},
	{"szymczewski", "Radosław Szymczewski", fullWeek, nil, true, 76},
	{"sivanesarajah", "Karthiga Sivanesarajah", shortWeek, nil, true, 12},
	{"mac-suibhne", "Fergal Mac Suibhne", fullWeek, nil, true, 188},
}

// responsible says who is appointed for which field; before is who was until a
// year ago, "" when nobody else.
var responsible = []struct {
	field       verdict.Field
	now, before string
}{
	{verdict.HeightRescue, demoInstructor, ""},
	{verdict.Energy, "muthukaruppan", "hallsjo"},
	{verdict.Lifting, "oyelakin", ""},
	{verdict.Curriculum, "ni-mhaolchatha", ""},
}

// candidate is learning to instruct and watches sessions on the tower.
const candidate = "sivanesarajah"

const administrator = "ni-mhaolchatha"

// demoInstructor is the instructor whose account visitors use. She is also
// responsible for height and rescue, so that something waits for her.
const demoInstructor = "okunrinboye"

// employers send the trainees.
var employers = []namedRow{
	{"slieveroe", "Slieveroe Turbine Care"},
	{"tidefall", "Tidefall Rope and Blade"},
	{"aldervane", "Aldervane Field Crews"},
}

// The profiles that bind people at Carrowmoyle.
var (
	bindStaff   = []id.Profile{rulebook.EUAdult, rulebook.TrainingStandard, rulebook.Site}
	bindTrainee = []id.Profile{rulebook.EUAdult, rulebook.TrainingStandard, rulebook.Site}
	bindYoung   = []id.Profile{rulebook.EUYoung, rulebook.TrainingStandard, rulebook.Site}
)

// Account is a way into the demo. It is for looking around only.
type Account struct {
	Role     access.Role
	Email    string
	Password string
	Name     string
}

// demoPassword is printed on the terminal beside the demo's address. It guards
// nothing but invented records.
const demoPassword = "carrowmoyle-demo"

// accountRow is an account; a key in staff, or a name of its own.
type accountRow struct {
	role  access.Role
	email string
	staff string
	name  string
}

var accounts = []accountRow{
	{access.Instructor, "instructor@carrowmoyle.example", demoInstructor, ""},
	{access.Administrator, "administrator@carrowmoyle.example", administrator, ""},
	{access.Auditor, "auditor@carrowmoyle.example", "", "Hedvig Stålnacke"},
	{access.TraineeRole, "trainee@carrowmoyle.example", "", "Eluned Vaughan-Prys"},
}

// Accounts returns one account for each role, for demos only.
func Accounts() []Account {
	out := make([]Account, len(accounts))
	for i, a := range accounts {
		name := a.name
		if a.staff != "" {
			name = staffNamed(a.staff).name
		}
		out[i] = Account{Role: a.role, Email: a.email, Password: demoPassword, Name: name}
	}
	return out
}

func staffNamed(key string) staffRow {
	for _, s := range staff {
		if s.key == key {
			return s
		}
	}
	panic("demo: the tables name " + key + ", who is not in the staff table")
}
