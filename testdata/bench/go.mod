module github.com/lapwright/lapwright/testdata/bench

go 1.26

require (
	cuelang.org/go v0.17.1
	github.com/expr-lang/expr v1.17.8
	github.com/google/cel-go v0.27.0
	github.com/hashicorp/hcl/v2 v2.25.0
	github.com/lapwright/lapwright v0.0.0
	github.com/shopspring/decimal v1.6.0
	github.com/stretchr/testify v1.12.1
	go.starlark.net v0.0.0-20260908191801-89a6a09411d5
)

require (
	cel.dev/expr v0.25.1 // indirect
	github.com/agext/levenshtein v1.2.1 // indirect
	github.com/alecthomas/participle/v2 v2.1.4 // indirect
	github.com/antlr4-go/antlr/v4 v4.13.1 // indirect
	github.com/apparentlymart/go-textseg/v15 v15.0.0 // indirect
	github.com/apparentlymart/go-textseg/v17 v17.0.1 // indirect
	github.com/cockroachdb/apd/v3 v3.2.3 // indirect
	github.com/mitchellh/go-wordwrap v1.0.1 // indirect
	github.com/zclconf/go-cty v1.19.0 // indirect
	go.yaml.in/yaml/v3 v3.0.5 // indirect
	golang.org/x/exp v0.0.0-20240823005443-9b4947da3948 // indirect
	golang.org/x/mod v0.37.0 // indirect
	golang.org/x/sync v0.21.0 // indirect
	golang.org/x/sys v0.46.0 // indirect
	golang.org/x/text v0.38.0 // indirect
	golang.org/x/tools v0.45.0 // indirect
	google.golang.org/genproto/googleapis/api v0.0.0-20240826202546-f6391c0de4c7 // indirect
	google.golang.org/genproto/googleapis/rpc v0.0.0-20240826202546-f6391c0de4c7 // indirect
	google.golang.org/protobuf v1.36.11 // indirect
)

replace github.com/lapwright/lapwright => ../..
