package quantity

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rodcall/engine/data"
)

// jointForm is one kind of weld: what it needs and its metal, as a section or as a volume.
type jointForm struct {
	name  string
	words []string // other words for it, folded
	needs string   // for people
	// section is mm2 across a seam and the width of its face for a reinforcement (0 when it has none).
	section func(*estimate, *sizes) (area, face float64)
	// volume is cm3 of a weld that is no seam.
	volume func(*estimate, *sizes) float64
	round  bool // its diameter is that of the part
}

// sizes looks up what a joint needs and collects what is missing and what cannot be.
type sizes struct {
	e       *estimate
	missing []string
	wrong   string
}

// need is a size that has no sensible stand-in; the first known of the keys is taken.
func (s *sizes) need(keys ...quantityKey) float64 {
	for _, k := range keys {
		if s.e.has[k] {
			return s.e.value[k]
		}
	}
	s.missing = append(s.missing, s.e.q.keyFor(keys[0]))
	return 1
}

// zero is a size that is nought unless told, and the estimate says so.
func (s *sizes) zero(k quantityKey, name string) float64 {
	if s.e.has[k] {
		return s.e.value[k]
	}
	s.e.suppose("%s 0", name)
	return 0
}

func (s *sizes) refuse(format string, args ...any) {
	if s.wrong == "" {
		s.wrong = fmt.Sprintf(format, args...)
	}
}

func tan(degrees float64) float64 { return math.Tan(degrees * math.Pi / 180) }

var jointForms = []*jointForm{
	{name: "fillet", words: []string{"fillet weld", "t fillet", "lap fillet", "unequal fillet"}, needs: "leg, or leg1 and leg2, or throat, and length",
		section: (*estimate).filletSection},
	{name: "square butt", words: []string{"square", "square groove", "butt", "i joint"}, needs: "thickness, gap and length", section: (*estimate).squareSection},
	{name: "single V", words: []string{"v", "single v", "v groove", "v butt", "single v butt", "single v groove"}, needs: "thickness, angle, gap, root_face and length", section: (*estimate).vSection},
	{name: "double V", words: []string{"x", "double v", "double v butt", "double v groove"}, needs: "thickness, angle, gap, root_face and length", section: (*estimate).doubleVSection},
	{name: "single bevel", words: []string{"bevel", "half v", "single bevel groove", "single bevel butt"}, needs: "thickness, bevel, gap, root_face and length", section: (*estimate).bevelSection},
	{name: "double bevel", words: []string{"k", "k joint", "double bevel groove"}, needs: "thickness, bevel, gap, root_face and length", section: (*estimate).doubleBevelSection},
	{name: "single U", words: []string{"u", "u groove", "single u", "single u groove", "u butt"}, needs: "thickness, radius, bevel, gap, root_face and length", section: (*estimate).uSection},
	{name: "double U", words: []string{"double u groove"}, needs: "thickness, radius, bevel, gap, root_face and length", section: (*estimate).doubleUSection},
	{name: "single J", words: []string{"j", "j groove", "single j groove"}, needs: "thickness, radius, bevel, gap, root_face and length", section: (*estimate).jSection},
	{name: "crack gouge", words: []string{"crack", "gouge", "crack groove", "crack excavation", "excavation"}, needs: "width, depth and length; shape half-ellipse or triangular", section: (*estimate).gougeSection},
	{name: "bead", words: []string{"reinforcement", "weld bead", "cap"}, needs: "width, height and length", section: (*estimate).beadSection},
	{name: "edge", words: []string{"edge build up", "edge buildup", "corner build up", "tooth", "lip"}, needs: "width, height and length; shape rectangle, triangle or half-round", section: (*estimate).edgeSection},
	{name: "plug", words: []string{"plug weld", "hole", "hole fill", "slot", "slot weld"}, needs: "diameter and depth, or width, length and depth", volume: (*estimate).plugVolume, round: true},
	{name: "overlay", words: []string{"cladding", "surfacing", "hardfacing", "hard facing", "hardface", "build up", "pad", "flat build up", "overlay area"}, needs: "length and width (or surface) and thickness", volume: (*estimate).overlayVolume},
	{name: "shaft build-up", words: []string{"shaft", "cylinder", "shaft thin shell", "shaft build up thin shell", "round build up"}, needs: "diameter, depth and length, or from, to and length", volume: (*estimate).thinShaftVolume, round: true},
	{name: "shaft build-up exact", words: []string{"shaft exact", "shaft annulus", "exact shaft build up"}, needs: "from, to and length, or diameter, depth and length", volume: (*estimate).shaftVolume, round: true},
	{name: "bore build-up", words: []string{"bore", "bore build up exact", "bore exact", "bore annulus", "bearing bore"}, needs: "from, to and length, or diameter, depth and length", volume: (*estimate).boreVolume, round: true},
}

// buildJoints finds a joint by its name and its words, in whatever order they stand.
func (q *Tables) buildJoints(faults *data.Faults) {
	q.joints = map[string]*jointForm{}
	for _, j := range jointForms {
		for _, word := range append([]string{j.name}, j.words...) {
			key := jointWords(word)
			if other, ok := q.joints[key]; ok && other != j {
				faults.Add("joints", 0, "word", "%q means %s and %s", word, other.name, j.name)
			}
			q.joints[key] = j
		}
	}
}

// idleJointWords say nothing of the form of a joint.
var idleJointWords = []string{"weld", "welded", "joint", "seam", "preparation", "prep", "repair", "of", "a", "an", "the", "on", "leg", "legs", "equal", "with"}

// jointWords are the words of a joint that tell its form, sorted.
func jointWords(text string) string {
	words := strings.Fields(strings.ReplaceAll(fold(text), "buildup", "build up"))
	words = slices.DeleteFunc(words, func(w string) bool { return slices.Contains(idleJointWords, w) })
	slices.Sort(words)
	return strings.Join(words, " ")
}

// joint is the joint that a word names; nil for none.
func (q *Tables) joint(word string) *jointForm { return q.joints[jointWords(word)] }

func jointNames() []string {
	var names []string
	for _, j := range jointForms {
		names = append(names, j.name)
	}
	return names
}

// filletSection is z2/2 with equal legs, z1 z2/2 with unequal ones, a2 from the throat; a convex face adds.
func (e *estimate) filletSection(s *sizes) (area, face float64) {
	switch {
	case e.has[leg1Key] || e.has[leg2Key]:
		z1, z2 := s.need(leg1Key, legKey), s.need(leg2Key, legKey)
		area, face = z1*z2/2, math.Hypot(z1, z2)
	case !e.has[legKey] && e.has[throatKey]:
		a := e.value[throatKey]
		area, face = a*a, 2*a
	default:
		z := s.need(legKey)
		area, face = z*z/2, z*math.Sqrt2
	}
	switch fold(e.words[reinforcementWord]) {
	case "convex":
		convexity, _ := e.give(convexityKey, "fillet", "convexity", "a convex face adds a share of #")
		return area * (1 + convexity), face
	}
	if e.has[convexityKey] {
		area *= 1 + e.value[convexityKey]
	}
	return area, face
}

func (e *estimate) squareSection(s *sizes) (area, face float64) {
	t, g := s.need(plateKey), s.zero(gapKey, "root gap")
	share := 1.0
	if e.has[fillShareKey] {
		share = e.value[fillShareKey]
	}
	return g * t * share, 0
}

// grooved is what the grooves share: plate, gap, and the depth below the root face.
func (s *sizes) grooved() (t, g, d float64) {
	t, g = s.need(plateKey, depthKey), s.zero(gapKey, "root gap")
	f := s.zero(rootFaceKey, "root face")
	if f > t {
		s.refuse("root face %s mm is more than the thickness of %s mm", Text(f), Text(t))
	}
	return t, g, t - f
}

// included is the included angle; a bevel on each side makes twice its angle.
func (s *sizes) included() float64 {
	if !s.e.has[angleKey] && s.e.has[bevelKey] {
		return 2 * s.e.value[bevelKey]
	}
	return s.need(angleKey)
}

func (e *estimate) vSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	slope := tan(s.included() / 2)
	return g*t + d*d*slope, g + 2*d*slope
}

func (e *estimate) doubleVSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	slope := tan(s.included() / 2)
	h := d / 2
	return g*t + 2*h*h*slope, g + 2*h*slope
}

func (e *estimate) bevelSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	slope := s.bevelSlope()
	return g*t + d*d*slope/2, g + d*slope
}

func (e *estimate) doubleBevelSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	h := d / 2
	slope := s.bevelSlope()
	return g*t + h*h*slope, g + h*slope
}

// bevelSlope is the slope of a one-sided preparation.
func (s *sizes) bevelSlope() float64 {
	b := s.need(bevelKey, angleKey)
	if b >= 90 {
		s.refuse("a bevel of %s degrees has no end; it must be below 90", Text(b))
		return 0
	}
	return tan(b)
}

// uSides is the metal of a U on top of the gap, down to depth d, and the width of its face. sides is 2 for
// a U and 1 for a J.
func (s *sizes) uSides(d, sides float64) (area, face float64) {
	r, slope := s.need(radiusKey), tan(s.flank(sides))
	if r > d {
		s.refuse("the root radius of %s mm is more than the depth of %s mm", Text(r), Text(d))
	}
	up := d - r
	return sides * (math.Pi*r*r/4 + r*up + up*up*slope/2), sides * (r + up*slope)
}

func (e *estimate) uSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	area, face = s.uSides(d, 2)
	return g*t + area, g + face
}

// flank is the bevel of each flank of a U or J; an included angle is twice that of a U.
func (s *sizes) flank(sides float64) float64 {
	if !s.e.has[bevelKey] && s.e.has[angleKey] {
		return s.e.value[angleKey] / sides
	}
	return s.need(bevelKey)
}

func (e *estimate) doubleUSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	area, face = s.uSides(d/2, 2)
	return g*t + 2*area, g + face
}

func (e *estimate) jSection(s *sizes) (area, face float64) {
	t, g, d := s.grooved()
	area, face = s.uSides(d, 1)
	return g*t + area, g + face
}

// gougeSection is a half-ellipse, pi w d/4, or a triangle, w d/2.
func (e *estimate) gougeSection(s *sizes) (area, face float64) {
	w, d := s.need(widthKey, beadWidthKey), s.need(depthKey, plateKey)
	switch fold(e.words[shapeWord]) {
	case "triangular", "triangle", "v":
		return w * d / 2, w
	case "rectangle", "rectangular", "square":
		return w * d, w
	case "":
		e.suppose("half-ellipse as the shape of the gouge")
		fallthrough
	case "half ellipse", "elliptical", "ellipse", "half elliptical", "semi ellipse", "semi elliptical", "round", "u":
		return math.Pi * w * d / 4, w
	}
	s.refuse("shape: %q is not known; write half-ellipse or triangular", e.words[shapeWord])
	return 0, w
}

func (e *estimate) beadSection(s *sizes) (area, face float64) {
	w, h := s.need(beadWidthKey, widthKey), s.need(heightKey, capKey, depthKey)
	return w * h * e.capShape(s), 0
}

// edgeSection is the metal of an edge of a width built up to a height.
func (e *estimate) edgeSection(s *sizes) (area, face float64) {
	w, h := s.need(widthKey, plateKey), s.need(heightKey, depthKey)
	e.layerHeightMM = h
	switch fold(e.words[shapeWord]) {
	case "triangular", "triangle":
		return w * h / 2, 0
	case "half round", "half ellipse", "round":
		return math.Pi * w * h / 4, 0
	case "":
		e.suppose("rectangle as the shape of the edge")
	case "rectangle", "rectangular", "square":
	default:
		s.refuse("shape: %q is not known; write rectangle, triangle or half-round", e.words[shapeWord])
	}
	return w * h, 0
}

// plugVolume is a round hole, or a slot with round ends, filled to a depth.
func (e *estimate) plugVolume(s *sizes) float64 {
	d := s.need(depthKey, plateKey)
	if !e.has[diameterKey] && e.has[widthKey] {
		w, l := e.value[widthKey], s.need(lengthKey)
		if l < w {
			s.refuse("a slot of length %s mm is shorter than its width of %s mm; give the longer one as length", Text(l), Text(w))
		}
		return ((l-w)*w + math.Pi*w*w/4) * d / 1000
	}
	hole := s.need(diameterKey)
	return math.Pi / 4 * hole * hole * d / 1000
}

// overlayVolume is S (e + k) with the grinding allowance k.
func (e *estimate) overlayVolume(s *sizes) float64 {
	e.surfacing = true
	t := s.need(plateKey, depthKey, heightKey)
	if e.has[grindKey] {
		t += e.value[grindKey]
	}
	e.layerHeightMM = t
	surface := 0.0
	switch {
	case e.has[surfaceKey]:
		surface = e.value[surfaceKey]
	case e.has[areaKey]:
		surface = e.value[areaKey]
		e.has[areaKey] = false // it was no section
	default:
		surface = s.need(lengthKey) * s.need(widthKey)
	}
	e.set(surfaceKey, surface)
	return surface * t / 1000
}

// rings gives the two diameters of a round build-up, mm; sign is +1 on a shaft and -1 in a bore.
func (e *estimate) rings(s *sizes, sign float64) (from, to float64) {
	k := 0.0
	if e.has[grindKey] {
		k = 2 * sign * e.value[grindKey]
	}
	if e.has[fromKey] || e.has[toKey] {
		return s.need(fromKey, diameterKey), s.need(toKey, diameterKey) + k
	}
	from = s.need(diameterKey)
	return from, from + 2*sign*s.need(depthKey, plateKey, heightKey) + k
}

// shaftVolume is the annulus pi/4 (D2^2 - D1^2) L.
func (e *estimate) shaftVolume(s *sizes) float64 {
	from, to := e.rings(s, 1)
	if len(s.missing) == 0 && to <= from {
		s.refuse("a shaft built up from %s to %s mm gains nothing; the finished diameter must be the larger", Text(from), Text(to))
	}
	return e.annulus(from, to, s.need(lengthKey))
}

// boreVolume is the annulus between the worn and the finished bore.
func (e *estimate) boreVolume(s *sizes) float64 {
	from, to := e.rings(s, -1)
	if len(s.missing) == 0 && (to >= from || to <= 0) {
		s.refuse("a bore built up from %s to %s mm cannot be; the finished diameter must be the smaller and above 0", Text(from), Text(to))
	}
	return e.annulus(to, from, s.need(lengthKey))
}

func (e *estimate) annulus(inner, outer, length float64) float64 {
	e.surfacing = true
	e.layerHeightMM = (outer - inner) / 2
	return math.Pi / 4 * (outer - inner) * (outer + inner) * length / 1000
}

// thinShaftVolume is the trade's pi D e L where diameter and depth are told: it under-reads by the share e/D.
// From two diameters it is the annulus.
func (e *estimate) thinShaftVolume(s *sizes) float64 {
	exact := e.shaftVolume(s)
	if e.has[fromKey] || e.has[toKey] || len(s.missing) > 0 {
		return exact
	}
	d, depth := e.value[diameterKey], e.layerHeightMM
	thin := math.Pi * d * depth * e.value[lengthKey] / 1000
	e.exactDeposit = exact / thin // made a mass when the density is known
	e.suppose("thin shell, which under-reads by the share %s; the exact figure stands beside it", Text(depth/d))
	return thin
}

// capShape is the share of width times height that a reinforcement fills.
func (e *estimate) capShape(s *sizes) float64 {
	switch fold(e.words[capShapeWord]) {
	case "rectangle", "rectangular", "square":
		return 1
	case "triangle", "triangular":
		return 0.5
	case "":
		e.suppose("reinforcement of parabolic shape")
		return 2.0 / 3
	case "parabolic", "parabola", "round":
		return 2.0 / 3
	}
	s.refuse("reinforcement_shape: %q is not known; write parabolic or rectangle", e.words[capShapeWord])
	return 0
}

// shapeOf works out section, volume and mass of the deposit, as far as the inputs go.
func (e *estimate) shapeOf() error {
	e.set(densityKey, e.metal.density)
	e.placeLoneSizes()
	if e.joint != nil && !e.has[depositKey] {
		if err := e.geometry(); err != nil {
			return err
		}
	} else if !e.has[depositKey] {
		e.seam(0)
	}
	if e.has[volumeKey] && !e.has[depositKey] {
		e.set(depositKey, e.value[volumeKey]*e.value[densityKey]/1000)
	}
	if e.has[depositKey] && e.has[lengthKey] && e.has[areaKey] {
		e.set(linearKey, e.value[depositKey]/e.value[lengthKey]*1000)
	}
	for _, k := range []quantityKey{areaKey, surfaceKey, volumeKey, depositKey, linearKey} {
		e.print(k)
	}
	if e.withoutCap > 0 {
		// The words of the published table, in both systems.
		e.out["deposit_kg_no_reinforcement"] = SixDigits(e.withoutCap)
		e.out["deposit_lb_no_reinforcement"] = SixDigits(e.withoutCap / e.q.Pound())
	}
	if e.exactDeposit > 0 && e.has[depositKey] {
		e.out["deposit_kg_exact"] = SixDigits(e.exactDeposit * e.value[depositKey])
		e.out["deposit_lb_exact"] = SixDigits(e.exactDeposit * e.value[depositKey] / e.q.Pound())
	}
	return nil
}

// placeLoneSizes gives length and diameter to the electrode where no joint claims them: a planning sheet for
// electrodes names their length plainly.
func (e *estimate) placeLoneSizes() {
	if e.has[diameterKey] && (e.joint == nil || !e.joint.round) {
		if e.process >= 0 && e.q.processes[e.process].form == "wire" {
			e.set(wireDiameterKey, e.value[diameterKey])
		} else {
			e.set(coreDiameterKey, e.value[diameterKey])
		}
	}
	seam := e.joint != nil && !e.has[depositKey] || e.has[areaKey] || e.has[linearKey]
	if !seam && (e.has[coreDiameterKey] || e.has[stubKey]) && e.has[lengthKey] && !e.has[electrodeLengthKey] {
		e.set(electrodeLengthKey, e.value[lengthKey])
		e.has[lengthKey] = false
	}
}

// geometry is section and volume from the drawing.
func (e *estimate) geometry() error {
	s := &sizes{e: e}
	count, grow := 1.0, 1.0
	if e.has[countKey] {
		count = e.value[countKey]
	}
	if e.has[allowanceKey] {
		grow = 1 + e.value[allowanceKey]
	}
	if e.joint.volume != nil {
		volume := e.joint.volume(e, s)
		if err := s.err(); err != nil {
			return err
		}
		e.set(volumeKey, volume*count*grow)
		return nil
	}
	area, face := e.joint.section(e, s)
	if fold(e.words[reinforcementWord]) == "convex" && e.joint.name != "fillet" {
		s.refuse("reinforcement: only a fillet is convex; give reinforcement_mm or reinforcement_in")
	}
	plain := area
	if e.has[capKey] && e.joint.name != "bead" {
		if e.has[beadWidthKey] || face == 0 {
			face = s.need(beadWidthKey)
		}
		faces := 1.0
		if strings.HasPrefix(e.joint.name, "double") {
			faces = 2
		}
		area += faces * face * e.value[capKey] * e.capShape(s)
	}
	if err := s.err(); err != nil {
		return err
	}
	e.set(areaKey, area)
	e.seam(count * grow)
	if e.has[capKey] && e.has[volumeKey] && e.joint.name != "bead" {
		e.withoutCap = e.value[volumeKey] * e.value[densityKey] / 1000 * plain / area
	}
	return nil
}

// seam makes a volume of a section and a length, or a mass by length of a section alone.
func (e *estimate) seam(times float64) {
	if times == 0 {
		times = 1
	}
	if e.has[areaKey] {
		e.set(linearKey, e.value[areaKey]*e.value[densityKey]/1000*times)
	}
	switch {
	case e.has[areaKey] && e.has[lengthKey]:
		e.set(volumeKey, e.value[areaKey]*e.value[lengthKey]/1000*times)
	case e.has[linearKey] && e.has[lengthKey]:
		e.set(depositKey, e.value[linearKey]*e.value[lengthKey]/1000)
	}
}

func (s *sizes) err() error {
	if len(s.missing) > 0 {
		return fmt.Errorf("%s: missing: %s", s.e.joint.name, strings.Join(s.missing, ", "))
	}
	if s.wrong != "" {
		return fmt.Errorf("%s: %s", s.e.joint.name, s.wrong)
	}
	return nil
}

// pound is a pound in kilograms, as the table of units says.
func (q *Tables) Pound() float64 {
	u, _ := q.unit("mass", "lb")
	return u.factor
}
