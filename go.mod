module github.com/lapwright/lapwright

go 1.26

require (
	github.com/alecthomas/participle/v2 v2.1.4
	github.com/shopspring/decimal v1.6.0
	github.com/stretchr/testify v1.12.1
)

require go.yaml.in/yaml/v3 v3.0.5 // indirect
