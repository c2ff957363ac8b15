package quantity

import (
	"math"
	"slices"
	"strings"

	"rodcall/engine/observation"
)

// Drawing is what is drawn of a repair to reckon its weld metal.
type Drawing uint8

const (
	None    Drawing = iota // nothing can be drawn
	Groove                 // a crack or break that is cut out
	Repair                 // the same, else a surface
	Surface                // a face that is brought back to size
	Face                   // a hard or cladding layer on a face
)

// Amount is how much of a class a repair takes, under the metric keys of Quantity, when the sizes that were
// observed suffice: a crack or break from its depth (else the thickness) and length, a round build-up
// from diameter, length and depth, a flat one from length, width and depth. ok is false when they do not.
func (q *Tables) Amount(o *observation.Observation, class string, as Drawing) (amount map[string]any, ok bool) {
	i, known := q.classAt[class]
	if !known || o == nil || o.Size == nil || q.classes[i].metal == nil || len(q.classes[i].processes) == 0 {
		return nil, false
	}
	c := &q.classes[i]
	e := &estimate{q: q, class: c, metal: c.metal, process: q.processAsked(c, o), metric: true, out: map[string]any{}}
	if !e.drawn(o, as) {
		return nil, false
	}
	for _, step := range []func(*estimate) error{(*estimate).shapeOf, (*estimate).consumables, (*estimate).pieces, (*estimate).rate,
		(*estimate).times, (*estimate).beads, (*estimate).gas} {
		if err := step(e); err != nil {
			return nil, false // sizes that cannot be give no amount
		}
	}
	e.out["joint"], e.out["process"], e.out["class"] = e.joint.name, q.processes[e.process].name, c.id
	amount, err := e.finish()
	return amount, err == nil && e.has[depositKey]
}

// processAsked is the process of a class that the rep names, else the first that its standard lists.
func (q *Tables) processAsked(c *quantityClass, o *observation.Observation) int {
	for _, word := range slices.Concat(o.Process, o.Limits) {
		if p, ok := q.processOf[fold(word)]; ok {
			for _, own := range c.processes {
				if q.sameProcess(p, own) {
					return own
				}
			}
		}
	}
	return c.processes[0]
}

// drawn takes joint and sizes from what was observed; false when they make no drawing.
func (e *estimate) drawn(o *observation.Observation, as Drawing) bool {
	switch as {
	case Groove:
		return (o.Job == "crack" || o.Job == "break") && !e.capillary() && e.drawGroove(o)
	case Repair:
		if o.Job == "crack" || o.Job == "break" {
			return e.drawGroove(o)
		}
		return e.drawSurface(o, false)
	case Surface:
		return e.drawSurface(o, false)
	case Face:
		return e.drawSurface(o, true)
	}
	return false
}

// capillary holds for a filler that is drawn into a gap: a groove says nothing of it.
func (e *estimate) capillary() bool { return strings.HasSuffix(e.metal.name, "-braze") }

// drawGroove draws the groove that a crack is cut out to, from one side.
func (e *estimate) drawGroove(o *observation.Observation) bool {
	depth, length := o.Size.DepthMM, o.Size.LengthMM
	if depth == nil || o.Size.ThicknessMM != nil && *o.Size.ThicknessMM < *depth {
		depth = o.Size.ThicknessMM
	}
	if length == nil && o.Job == "break" {
		length = o.Size.WidthMM
	}
	if !aboveZero(depth) || !aboveZero(length) {
		return false
	}
	ratio := e.q.figures[figureKey{"crack groove", "width-to-depth"}].value
	least := e.q.figures[figureKey{"crack groove", "least-width"}].value
	width := math.Max(ratio**depth, least)
	e.joint = e.q.joint("crack gouge")
	e.words[shapeWord] = "half-ellipse"
	e.set(widthKey, width)
	e.set(depthKey, *depth)
	e.set(lengthKey, *length)
	e.suppose("cut out from one side, %s mm deep and %s mm wide at the top", Text(*depth), Text(width))
	return true
}

// drawSurface draws what is laid on a round or flat face. A hard face has a usual thickness when no depth is
// told; a worn size has not.
func (e *estimate) drawSurface(o *observation.Observation, usual bool) bool {
	size := o.Size
	if !aboveZero(size.LengthMM) || !aboveZero(size.DiameterMM) && !aboveZero(size.WidthMM) {
		return false
	}
	depth := size.DepthMM
	if depth == nil && usual {
		layer, ok := e.q.ofProcess(e.process, "layer-thickness")
		if !ok {
			return false
		}
		layers := e.q.figures[figureKey{"hard face", "layers"}].value
		thick := layers * layer.value
		depth = &thick
		e.suppose("%s layers, %s mm in all", Text(layers), Text(thick))
	}
	if !aboveZero(depth) {
		return false
	}
	e.set(depthKey, *depth)
	e.set(lengthKey, *size.LengthMM)
	if !aboveZero(size.DiameterMM) {
		e.joint = e.q.joint("overlay")
		e.set(widthKey, *size.WidthMM)
		return true
	}
	e.set(diameterKey, *size.DiameterMM)
	e.joint = e.q.joint("shaft build-up exact")
	if slices.Contains(strings.FieldsFunc(strings.ToLower(o.Part), notLetter), "bore") {
		e.joint = e.q.joint("bore build-up")
	}
	e.suppose("%s mm as the worn diameter and %s mm on the radius", Text(*size.DiameterMM), Text(*depth))
	return true
}

func notLetter(r rune) bool { return r < 'a' || r > 'z' }

// aboveZero holds for a size that was told and can be.
func aboveZero(size *float64) bool { return size != nil && *size > 0 && !math.IsInf(*size, 0) }
