module github.com/lapwright/lapwright/testdata/geompeer

go 1.26

require github.com/lapwright/lapwright v0.0.0

require (
	github.com/peterstace/simplefeatures v0.50.0
	github.com/shopspring/decimal v1.6.0 // indirect
)

replace github.com/lapwright/lapwright => ../..
