package page

// columns is the width of the table in slots, the station's name included.
func (d Day) columns() int {
	n := 1
	for _, h := range d.Hours {
		n += h.Slots
	}
	return n
}

// places gathers what the board says of stations beside their sessions, for the
// list of a phone.
func (d Day) places() weekListDay {
	var out weekListDay
	for _, r := range d.Rigs {
		for _, s := range r.Stations {
			for _, b := range s.Blocks {
				if b.Shut != "" {
					out.Shut = append(out.Shut, weekPlace{Station: s.Name.Text, Shut: b.Shut})
				}
				if b.Free.Text != "" {
					out.Free = append(out.Free, weekPlace{Station: s.Name.Text, Free: b.Free})
				}
			}
		}
	}
	return out
}
