module shakedown

go 1.26.8

require (
	github.com/alecthomas/kong v1.17.0
	github.com/aymanbagabas/go-udiff v0.4.1
	github.com/bojanz/currency v1.4.2
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/goccy/go-yaml v1.19.2
	github.com/google/go-cmp v0.7.0
	github.com/ncruces/go-sqlite3 v0.37.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	golang.org/x/sync v0.24.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require golang.org/x/telemetry v0.0.0-20261009151841-97e8ea77aa2a // indirect

require (
	github.com/BurntSushi/toml v1.4.1-0.20240526193622-a339e1f7089c // indirect
	github.com/cockroachdb/apd/v3 v3.2.1 // indirect
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/ncruces/go-sqlite3-wasm/v6 v6.5.35401 // indirect
	github.com/ncruces/julianday v1.0.0 // indirect
	golang.org/x/exp/typeparams v0.0.0-20231108232855-2478ac86f678 // indirect
	golang.org/x/mod v0.42.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/text v0.43.0
	golang.org/x/tools v0.52.0 // indirect
	honnef.co/go/tools v0.8.2 // indirect
)

tool (
	golang.org/x/tools/cmd/deadcode
	honnef.co/go/tools/cmd/staticcheck
)
