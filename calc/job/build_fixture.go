package job

import "tubewright/calc/units"

// fixture builds how the header is held, with what is usual where nothing is entered.
func (b *builder) fixture() Fixture {
	f, k := b.f, "fixture"
	word := func(name, usual string) string { return or(f.word(k, Self, name), usual) }
	mm := func(name string, usual units.Length) units.Length { return f.length(k, Self, name).Or(usual) }
	x := Fixture{
		Bank: word("bank", b.root()), Base: word("base", standing), Turn: f.angle(k, Self, "base_turn").V, Below: f.length(k, Self, "base_below"),
		MockUpOD: f.length(k, Self, "mock_up_od"), Conducts: f.word(k, Self, "mock_up_conducts") == "yes",
		Post: mm("post_diameter", usualPost), Clamp: mm("clamp_width", usualClamp), Torch: mm("torch_room", usualTorch),
		Wrap: f.angle(k, Self, "wrap").Or(usualWrap * units.Degree), Clearance: mm("clearance", usualFixGap),
		Held: word("flange_held", onStuds), Stud: mm("stud_length", usualStud),
		Thickness: mm("plate_thickness", usualPlate), Margin: mm("plate_margin", usualMargin), Earth: word("earth", "plate"),
	}
	for _, e := range f.Lists["station"] {
		x.Stations = append(x.Stations, b.station(e.ID))
	}
	return x
}

func (b *builder) station(id string) Station {
	f, k := b.f, "station"
	s := Station{
		ID: id, Title: f.title(k, id), On: f.word(k, id, "on"), Along: f.length(k, id, "along"), Opening: f.angle(k, id, "opening"), Wrap: f.angle(k, id, "wrap"),
		Arm: f.length(k, id, "arm"), ArmAngle: f.angle(k, id, "arm_angle"), LeftOut: f.word(k, id, "leave_out") == "yes",
		ClampedAt: f.length(k, id, "clamped_at"), Checked: f.word(k, id, "checked") == "yes",
	}
	if word := f.word(k, id, "removable"); word != "" {
		s.Removable = Opt[bool]{word == "yes", true}
	}
	return s
}
