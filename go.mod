module shakedown

go 1.26.8

require (
	github.com/alecthomas/kong v1.17.0
	github.com/bojanz/currency v1.4.2
	github.com/goccy/go-yaml v1.19.2
	github.com/google/go-cmp v0.6.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require github.com/cockroachdb/apd/v3 v3.2.1 // indirect
