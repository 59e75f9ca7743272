package rules
import ("testing";"os";"fmt";"time")
func TestZZ(t *testing.T){
 for _, n := range []string{"boathouse.rules","zz.rules"} {
 st:=time.Now()
 b, ds, err := Load(os.DirFS("testdata"), n)
 fmt.Println(b!=nil, err, len(ds), time.Since(st))
 ds.Draw(os.Stdout, func(f string) []byte { b,_:=os.ReadFile("testdata/"+f); return b})
 st=time.Now()
 src,_:=os.ReadFile("testdata/"+n)
 for i:=0;i<20;i++{ Parse("x",src,Limits{}) }
 fmt.Println(time.Since(st)/20)
 }
}
