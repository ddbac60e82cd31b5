package lap

import (
	"encoding/json"
	"testing"
)

// Every limit has a name of its own, by which it is read again, and says what moves it.
func TestLimitsAreTold(t *testing.T) {
	names := map[string]bool{}
	for l := range Limit(limits) {
		if l.String() == "" || names[l.String()] || l.Moved() == "" {
			t.Errorf("limit %d is called %q and moved by %q", l, l, l.Moved())
		}
		names[l.String()] = true
		text, err := json.Marshal(l)
		var again Limit
		if err != nil || json.Unmarshal(text, &again) != nil || again != l {
			t.Errorf("%v is kept as %s and read as %v, %v", l, text, again, err)
		}
	}
	for l, kind := range map[Limit]Kind{ByPower: FromPower, ByCornerGrip: FromGrip, ByWheelie: FromBalance, ByNoseOver: FromBalance, ByHand: FromBrakes, ByJump: FromSuspension} {
		if l.Kind() != kind {
			t.Errorf("%v comes from %d", l, l.Kind())
		}
	}
	if ByWheelie.AtStart() == "" || ByJump.AtStart() != "" {
		t.Error("a start is held back by what cannot, or not by what can")
	}
	var l Limit
	if err := json.Unmarshal([]byte(`"luck"`), &l); err == nil {
		t.Error("a limit was read that there is not")
	}
}
