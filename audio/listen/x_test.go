package listen
import ("testing";"reedwell/audio/audiotest";"fmt")
func TestX(t *testing.T){
	for _, font := range audiotest.Fonts() {
			for _, key := range keys {
				x := audiotest.Held(t, font, key)
				level := audiotest.Level(x[audiotest.Rate*3/10 : audiotest.Rate])
				x = audiotest.Sum(x, audiotest.Pink(audiotest.Rate, 1.5, level-10, uint64(key)))
				take := hear(t, Config{Rate: audiotest.Rate}, x)
				sc := match(take.starts(), []float64{audiotest.HeldAt}, 0.025)
				if sc.f()<100 { t.Log(font.Name,key, take)
				s:=""
				for _,f:=range take.Frames[10:40] { s+=fmt.Sprintf(" %.0f:%.0f/%.2f/%.0f", float64(f.At)/48,f.F0,f.Confidence, f.Level) }
				t.Log(s) }
			}
	}
}
