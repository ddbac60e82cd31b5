# Targets are small scripts; `make` alone lists them.
VERSION := 0.1.0
GO      := go
LDFLAGS := -s -w -X main.version=$(VERSION)
EXAMPLE := examples/fenmoor-t285.yaml
export CGO_ENABLED = 0

.DEFAULT_GOAL := help
.PHONY: help build demo setup lint test test-heavy test-all fuzz golden lists reach verification table bench cross clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | sort | while IFS="$$(printf '\t')" read -r name text; do printf '  %-14s %s\n' "$$name" "$$text"; done

build: ## build ./shakedown
	$(GO) build -trimpath -ldflags "$(LDFLAGS)" -o shakedown ./cmd/shakedown

demo: build ## run the main job on the invented example and say where the report is
	@mkdir -p out
	@echo '$$ shakedown check $(EXAMPLE)'; echo; ./shakedown check $(EXAMPLE)
	@echo; echo '$$ shakedown figures $(EXAMPLE) --quick'; echo; ./shakedown figures $(EXAMPLE) --quick
	@echo; printf "The report, to open in a browser: "; ./shakedown report $(EXAMPLE) --out out/fenmoor-t285.html

# The browser tests want Chromium and pdftotext. On Debian, as root, they are installed; elsewhere they must be there.
setup: ## install what the tests need
	@if ! { command -v chromium && command -v pdftotext; } >/dev/null 2>&1; then \
	  if command -v apt-get >/dev/null 2>&1 && [ "$$(id -u)" = 0 ]; then \
	    echo 'Installing chromium, poppler-utils and a font for the browser tests.'; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium poppler-utils fonts-dejavu-core >/dev/null; \
	  else echo 'The browser tests need chromium and pdftotext (Debian: chromium, poppler-utils); please install them.' >&2; exit 1; fi; fi
	@$(GO) mod download

lint: ## format, vet, staticcheck
	@test -z "$$(gofmt -l . | tee /dev/stderr)" || { echo 'gofmt the files above' >&2; exit 1; }
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

# Functions that no program reaches, each with its reason. Rooms that are being laid out anew are left out until they stand.
UNREACHED = \
  'Limit\.UnmarshalText$$' \
  'Joint\.(Solve|mouth)$$' \
  'Desk\.Load$$' \
  'Limit\.UnmarshalText$$'
# Limit.UnmarshalText: reached by the reading of kept results.
# Joint: head pipes of several cylinders that meet; the scheme is checked, the sheet has no words for it yet.
# Desk.Load: what the pages' load test looks at.
# Limit.UnmarshalText: encoding/json calls it when a start that was kept is read.
reach: ## every function is reached from the program, or from what writes the lists
	@mkdir -p out && $(GO) tool deadcode ./cmd/shakedown ./internal/lists > out/unreached
	@! grep -vE $(foreach p,$(UNREACHED),-e $(p)) out/unreached || { echo 'Use the functions above, or delete them with their checks.' >&2; exit 1; }

# The timeouts end what hangs; they say nothing of how long a target takes, and hold on a machine that is ten times slower.
test: setup lint ## set up, format, vet, staticcheck, tests
	SHAKEDOWN_BROWSER=must $(GO) test -timeout 30m $(TESTFLAGS) ./...

test-heavy: ## ranges against 100,000 samples, many random machines, a while of fuzzing
	SHAKEDOWN_HEAVY=1 $(GO) test -timeout 60m -run 'Heavy' ./...
	$(MAKE) fuzz

test-all: ## the heavy tests with all they have; takes half an hour or more
	SHAKEDOWN_HEAVY=all $(GO) test -timeout 5h -v -run 'Heavy' ./...
	SHAKEDOWN_HEAVY=all $(GO) test -timeout 30m -v -run 'FiftyClients' ./internal/web

# Room, target, runs: about ten seconds of each on two cores. They are counted, not timed: with a time, Go before 1.27
# may end in "context deadline exceeded" with nothing found (golang/go#75804).
FUZZED = \
  quantity:FuzzParse:50000 \
  money:FuzzParse:100000 \
  sheet:FuzzParse:15000 \
  sheet:FuzzAddParts:5000 \
  sheet:FuzzPut:40000 \
  internal/app:FuzzNumbers:1000 \
  internal/workshop:FuzzExport:1000 \
  recording:FuzzRead:300000 \
  forecast/track:FuzzReadRide:15000 \
  forecast/track:FuzzRideNumbers:300 \
  vehicle/tyre:FuzzParseSize:200000
FUZZTIMES := 1
fuzz: ## fuzz the parsers, FUZZTIMES as often as CI does
	@set -e; for t in $(FUZZED); do room=$${t%%:*}; rest=$${t#*:}; \
	  $(GO) test -timeout 60m -run '^$$' -fuzz "^$${rest%:*}\$$" -fuzztime $$(( $${rest#*:} * $(FUZZTIMES) ))x -fuzzminimizetime 200x ./$$room; done

golden: ## rewrite the golden files; look at the difference
	$(GO) test -timeout 30m ./cmd/shakedown -update

lists: ## rewrite docs/figures.md, docs/rules.md, docs/inputs.md
	$(GO) run ./internal/lists docs

# The packages whose tests check against something outside.
CHECKED = $$($(GO) list -f '{{$$p := .ImportPath}}{{range .TestImports}}{{if eq . "shakedown/internal/outside"}}{{$$p}} {{end}}{{end}}{{range .XTestImports}}{{if eq . "shakedown/internal/outside"}}{{$$p}} {{end}}{{end}}' ./... | sort -u)

verification: ## rewrite docs/verification.md from the outside checks
	@rm -rf out/verification && mkdir -p out/verification
	SHAKEDOWN_VERIFICATION=$(CURDIR)/out/verification $(GO) test -timeout 30m -count=1 $(CHECKED) > out/verification.log || { cat out/verification.log; exit 1; }
	@$(MAKE) --no-print-directory table

table: ## write docs/verification.md from what the tests have left in out/verification
	$(GO) run ./internal/outside/table out/verification > out/verification.md
	@mv out/verification.md docs/verification.md

bench: ## time check and figures, a long sheet, a recording, a curve's range, the report, a save, a switch in the browser
	$(GO) test -timeout 60m -run '^$$' -bench . -benchmem ./machine ./sheet ./recording/... ./forecast/torque ./internal/app ./internal/app/asked ./internal/store ./internal/web ./cmd/shakedown

cross: ## build and vet for Windows and macOS
	@for target in windows/amd64 darwin/arm64 linux/arm64; do echo $$target; \
	  GOOS=$${target%/*} GOARCH=$${target#*/} $(GO) vet ./... && \
	  GOOS=$${target%/*} GOARCH=$${target#*/} $(GO) build -trimpath -ldflags "$(LDFLAGS)" -o out/cross/$$target/ ./cmd/shakedown || exit 1; done

clean: ## remove what was built
	rm -rf shakedown out
