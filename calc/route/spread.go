package route

type spreader struct{ sigmas Sigmas }

func (s *search) spread() {}
