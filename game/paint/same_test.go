package paint_test

import (
	"reflect"
	"testing"

	"reedwell/game/paint"
	"reedwell/game/screen"
)

// otherwise changes v, a value that can be set, to another one.
func otherwise(t *testing.T, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Uint8:
		v.SetUint(v.Uint() + 1)
	case reflect.Float64:
		v.SetFloat(v.Float() + 1)
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Slice:
		v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
	case reflect.Array:
		otherwise(t, v.Index(v.Len()-1))
	case reflect.Struct:
		otherwise(t, v.Field(v.NumField()-1))
	default:
		t.Fatalf("no rule for another %v", v.Type())
	}
}

// What is not drawn again because it is the same must be the same in every field, those included that are added one day.
func TestNothingThatMovesIsOverlooked(t *testing.T) {
	comb := func() screen.Comb { return screen.Comb{Beads: []screen.Bead{{Strength: 0.5}}} }
	chart := func() screen.Chart {
		return screen.Chart{Trace: []screen.TracePoint{{Beat: 1}}, Notes: []screen.ChartNote{{Tab: "4"}}}
	}
	bead := func() screen.Bead { return screen.Bead{Strength: 0.5} }
	point := func() screen.TracePoint { return screen.TracePoint{Beat: 1} }
	note := func() screen.ChartNote { return screen.ChartNote{Tab: "4"} }
	played := func(x, y screen.Chart) bool { return paint.SameChart(&x, &y) && paint.SamePlayed(&x, &y) }
	eachField(t, comb, func(x, y screen.Comb) bool { return paint.SameComb(&x, &y) })
	eachField(t, bead, func(x, y screen.Bead) bool {
		return paint.SameComb(&screen.Comb{Beads: []screen.Bead{x}}, &screen.Comb{Beads: []screen.Bead{y}})
	})
	eachField(t, chart, played)
	eachField(t, point, func(x, y screen.TracePoint) bool {
		return played(screen.Chart{Trace: []screen.TracePoint{x}}, screen.Chart{Trace: []screen.TracePoint{y}})
	})
	eachField(t, note, func(x, y screen.ChartNote) bool {
		return played(screen.Chart{Notes: []screen.ChartNote{x}}, screen.Chart{Notes: []screen.ChartNote{y}})
	})
}

// eachField wants two equal values the same, and no longer when any field of one is another.
func eachField[V any](t *testing.T, made func() V, same func(x, y V) bool) {
	t.Helper()
	if !same(made(), made()) {
		t.Errorf("two equal %T are not the same", made())
	}
	for i := range reflect.TypeFor[V]().NumField() {
		x, y := made(), made()
		v := reflect.ValueOf(&y).Elem()
		otherwise(t, v.Field(i))
		if same(x, y) {
			t.Errorf("%T with another %s is the same", y, v.Type().Field(i).Name)
		}
	}
}
