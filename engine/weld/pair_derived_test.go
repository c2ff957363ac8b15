package weld

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rodcall/engine/metal"
	"rodcall/engine/observation"
)

// plainJoint is a situation in which nothing is stated but the joint.
func plainJoint(b *Book, other int) *situation {
	return &situation{can: supplied | choices, joined: other, job: "join", roles: b.jobs["join"]}
}

// The published pairs are looked up when they are asked for; here they are worked out as if no table held them,
// which says how far the other pairs can be trusted.
func TestPublishedPairsComeOutOfTheDerivationToo(t *testing.T) {
	b := load(t)
	recommended, agreed, bad, calledSound, pairs, served := 0, 0, 0, 0, 0, 0
	for at, p := range b.pairs {
		s, asked, found := plainJoint(b, at[1]), false, false
		for place, rules := range p.rows {
			published, ok := b.weigh(rules, s.met, s.can)
			if place.role != Join || !ok || b.leader[place.class] != int32(place.class) {
				continue
			}
			derived := b.derived(at[0], at[1], Join, place.class, s)
			switch {
			case published.kind.suits():
				recommended, asked = recommended+1, true
				if derived.kind.suits() {
					agreed, found = agreed+1, true
				}
			case published.kind <= Poor:
				bad++
				if derived.kind.suits() {
					calledSound++
					t.Logf("%s + %s, %s: published %v (%s), derived %v (%s)", metal.Families[at[0]], metal.Families[at[1]],
						b.classes[place.class].ID, published.kind, b.texts[published.why], derived.kind, b.texts[derived.why])
				}
			}
		}
		if asked {
			pairs++
			if found {
				served++
			} else {
				t.Logf("%s + %s: no published class comes out", metal.Families[at[0]], metal.Families[at[1]])
			}
		}
	}
	t.Logf("published classes derived too: %d of %d; pairs with one of them: %d of %d; bad ones called sound: %d of %d", agreed, recommended, served, pairs, calledSound, bad)
	require.GreaterOrEqual(t, agreed*100, 85*recommended)
	require.GreaterOrEqual(t, served*100, 90*pairs)
	require.LessOrEqual(t, calledSound*100, bad)
}

func TestEveryPairOfFamiliesIsAnswered(t *testing.T) {
	b := load(t)
	joined, instead, silent := 0, 0, 0
	for i, part := range metal.Families {
		for _, other := range metal.Families[i+1:] {
			for _, order := range [][2]string{{part, other}, {other, part}} {
				plan := b.Plan(ask(b, observation.Observation{Job: "join", JoinedTo: order[1]}, map[string]float64{order[0]: 1}))
				carries := slices.ContainsFunc(plan.Consumables, func(c Choice) bool { return c.Role == Join || c.Role == Braze })
				switch {
				case carries:
					joined++
				case plan.Replace != "" || plan.ConflictWhy != "":
					instead++
				default:
					silent++
					t.Logf("%s + %s: nothing", order[0], order[1])
				}
			}
		}
	}
	require.Zero(t, silent)
	t.Logf("pairs, both ways: joined %d, something else instead %d, no answer %d", joined, instead, silent)
}

func TestMetalsThatMeltIntoBrittleCompoundsAreNotWeldedWhateverTheFiller(t *testing.T) {
	b := load(t)
	for _, pair := range [][2]string{{"aluminum", "low-carbon-steel"}, {"austenitic-stainless", "aluminum"}, {"titanium", "duplex-stainless"},
		{"magnesium", "copper"}, {"aluminum", "magnesium"}, {"nickel", "titanium"}, {"lead", "gray-iron"}, {"zinc-die-cast", "brass"}} {
		plan := b.Plan(ask(b, observation.Observation{Job: "join", JoinedTo: pair[1]}, map[string]float64{pair[0]: 1}))
		for _, c := range plan.Consumables {
			require.Equal(t, Braze, c.Role, "%v: %s", pair, c.Class)
		}
		require.NotEmpty(t, plan.Replace, pair)
	}
}

// Facts: 309L between carbon steel and 18-8 (matching tables, NAVSEA); 308L there turns martensitic (Schaeffler
// diagram); nickel-copper deposits crack with over 8 % chromium.
func TestMixedDepositIsJudgedByItsConstitution(t *testing.T) {
	b := load(t)
	at := func(family string) int { return metal.FamilyIndex(family) }
	for _, c := range []struct {
		one, other, class string
		sound             bool
	}{
		{"low-carbon-steel", "austenitic-stainless", "E309L", true},
		{"low-carbon-steel", "austenitic-stainless", "E308L", false},
		{"low-carbon-steel", "austenitic-stainless", "E410", false},
		{"low-alloy-steel", "austenitic-stainless", "E312", true},
		{"low-carbon-steel", "nickel-chromium-alloy", "ENiCrFe-3", true},
		{"austenitic-stainless", "ferritic-stainless", "ENiCu-7", true},
		{"ferritic-stainless", "ferritic-stainless", "ENiCu-7", true},
		{"austenitic-stainless", "copper", "E309L", false},
	} {
		set, why, ok := b.depositBetween(at(c.one), at(c.other), b.classAt[c.class])
		require.True(t, ok, "%s", c.class)
		require.Equal(t, c.sound, set == 0, "%s between %s and %s: %s", c.class, c.one, c.other, reasonTexts[why])
	}
}

func TestJointIsTheSameFromEitherSide(t *testing.T) {
	b := load(t)
	for i := range metal.Families {
		for k := range i {
			for class := range b.classes {
				one, whyOne, okOne := b.depositBetween(i, k, class)
				other, whyOther, okOther := b.depositBetween(k, i, class)
				if one != other || whyOne != whyOther || okOne != okOther {
					t.Fatalf("%s + %s, %s: %s one way, %s the other", metal.Families[i], metal.Families[k], b.classes[class].ID, reasonTexts[whyOne], reasonTexts[whyOther])
				}
			}
		}
	}
}
