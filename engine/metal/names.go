package metal

type metalRef struct{}
type spokenName struct{}

func (l *loader) metalNames() {}
