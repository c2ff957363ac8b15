package weld

import (
	"io/fs"
	"rodcall/engine/filler"
	"slices"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// dutyLoss is what one service word takes off one filler group.
type dutyLoss struct {
	service string
	group   int // index into filler.Groups
	loss    float64
}

const fillerGroupCount = 13

var dutySchema = data.Schema{File: "duty_losses.csv", Columns: []data.Column{
	{Name: "service", Kind: data.Word, Required: true, Of: observation.ServiceWords},
	{Name: "groups", Kind: data.Words, Required: true, Of: filler.Groups},
	{Name: "loss", Kind: data.Number, Required: true, Min: 0.01, Max: 0.5}, {Name: "why", Required: true},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

// loadDuties reads what services take off filler groups.
func (b *Book) loadDuties(files fs.FS, faults *data.Faults) {
	for _, row := range data.Read(files, dutySchema, faults).Rows {
		for _, group := range row.List("groups") {
			b.duties = append(b.duties, dutyLoss{row.Text("service"), slices.Index(filler.Groups, group), row.Value("loss", 0)})
		}
	}
	b.groupOf = make([]uint8, len(b.classes))
	for i := range b.classes {
		b.groupOf[i] = uint8(slices.Index(filler.Groups, b.classes[i].Group))
	}
}

// setDuty works out what each filler group loses to the service told; the graver of two losses counts.
func (b *Book) setDuty(s *situation, o *observation.Observation) {
	if len(o.Service) == 0 {
		return
	}
	for _, d := range b.duties {
		if slices.Contains(o.Service, d.service) {
			s.dutyLoss[d.group] = max(s.dutyLoss[d.group], d.loss)
		}
	}
}

// lossToDuty is what a class loses in a role to the service and the wear told. A hard face is judged by its wear.
func (b *Book) lossToDuty(class int, role Role, s *situation) float64 {
	if role == Hardface {
		return b.lossToWear(class, s)
	}
	return s.dutyLoss[b.groupOf[class]]
}

// wearTold holds when the rep says how the face wears: what is not told is assumed.
func wearTold(service []string) bool {
	return slices.ContainsFunc(service, func(w string) bool {
		return slices.Contains(mechanismWords, w) || w == "abrasion" || w == "no-impact" || w == "corrosion-service"
	})
}
