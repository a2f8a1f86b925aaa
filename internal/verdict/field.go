package verdict

// Field is a field of responsibility: whose limits a person confirms, and whose
// cautions they may accept.
type Field string

// The fields. All but Planning need a dated written appointment; planning
// cautions are accepted by an administrator.
const (
	HeightRescue Field = "height-rescue"
	Energy       Field = "energy"
	Lifting      Field = "lifting"
	Curriculum   Field = "curriculum"
	Planning     Field = "planning"
)

// Fields lists those that need an appointment, in the order pages show.
func Fields() []Field { return []Field{HeightRescue, Energy, Lifting, Curriculum} }
