package weld

import (
	"io/fs"

	"rodcall/engine/data"
	"rodcall/engine/observation"
)

// jobRole is one role that a job calls for.
type jobRole struct {
	role   Role
	order  int // 1 carries the job; 2 and 3 go with it
	shown  int // at most so many classes of it are named
	assume condition
}

// assumedJob is the job that is taken when none is told.
const assumedJob = "join"

var jobSchema = data.Schema{File: "job_roles.csv", Key: []string{"job", "role"}, Columns: []data.Column{
	{Name: "job", Kind: data.Word, Required: true, Of: observation.Jobs},
	{Name: "role", Kind: data.Word, Required: true, Of: roleWords},
	{Name: "order", Kind: data.Number, Required: true, Min: 1, Max: 3, Doc: "1 carries the job"},
	{Name: "shown", Kind: data.Number, Required: true, Min: 1, Max: 6, Doc: "classes named at most"},
	{Name: "assume", Kind: data.Words, Of: conditionWords, Doc: "conditions taken when no service is told"},
	{Name: "source", Required: true}, {Name: "mark", Kind: data.Word, Required: true, Of: data.MarkIDs},
}}

func (b *Book) loadJobs(files fs.FS, faults *data.Faults) {
	b.jobs = map[string][]jobRole{}
	for _, row := range data.Read(files, jobSchema, faults).Rows {
		assume, _ := conditionOf(row.List("assume"))
		b.jobs[row.Text("job")] = append(b.jobs[row.Text("job")], jobRole{role: roleOf(row.Text("role")),
			order: int(row.Value("order", 1)), shown: int(row.Value("shown", 1)), assume: assume})
	}
	for _, job := range observation.Jobs {
		if len(b.jobs[job]) == 0 {
			faults.Add(jobSchema.File, 0, "job", "%s has no row", job)
		}
	}
}
