module github.com/lapwright/lapwright/testdata/machines

go 1.26

require (
	github.com/stretchr/testify v1.12.1
	github.com/tetratelabs/wazero v1.12.0
)

require (
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/sys v0.44.0 // indirect
)
