# `make test` proves the whole program. `make help` lists the rest.

SHELL       := bash
.SHELLFLAGS := -euo pipefail -c
.ONESHELL:
.SILENT:
.DEFAULT_GOAL := help

GO           ?= go
BROWSERTESTS := internal/httpd/browsertest
AXE          := $(BROWSERTESTS)/node_modules/axe-core/axe.min.js
SHOTS        ?= $(CURDIR)/shots

# A browser by its usual names; CHROME=path overrides.
CHROME ?= $(shell for name in chromium chromium-browser google-chrome google-chrome-stable; do command -v $$name && break; done)

define heading
printf '\n== %s\n' "$(1)"
endef

.PHONY: help
help:
	echo "make test      everything: gates, tests, race, browser (installs what it needs)"
	echo "make quick     gates and tests, without race and browser"
	echo "make generate  Go code from the templ files"
	echo "make build     the program, as bin/rungbook"
	echo "make bench     the benchmarks, with the machine's cores"
	echo "make shots     pictures of the pages in $(SHOTS)"
	echo "make kills     kills the program KILLS times, and looks that nothing is lost"
	echo "make replicate  tries the guide to replication, where Litestream is installed"

.PHONY: build
build:
	$(GO) build -trimpath -o bin/rungbook ./cmd/rungbook

.PHONY: generate
generate:
	$(GO) tool templ generate -path web -log-level warn

# ---- the proof ----

# The stages run in this order and stop at the first that fails. The browser
# comes last: it is the slowest and says least about a plain mistake.
.PHONY: test
test: needs gates units race browser
	$(call heading,every stage passed)

.PHONY: quick
quick: gates units

.PHONY: needs
needs: compiler-installed browser-installed axe-installed

.PHONY: gates
gates: gofmt-clean generated-current vet staticcheck

.PHONY: gofmt-clean
gofmt-clean:
	$(call heading,gofmt)
	unformatted=$$(gofmt -l $$(find . -name '*.go' -not -path '*/node_modules/*'))
	if [ -n "$$unformatted" ]; then
		echo "these files are not as gofmt writes them; run gofmt -w on them:"
		echo "$$unformatted"
		exit 1
	fi

.PHONY: generated-current
generated-current:
	$(call heading,generated code is current)
	before=$$(mktemp); after=$$(mktemp)
	trap 'rm -f "$$before" "$$after"' EXIT
	sums() { find . -name '*_templ.go' -not -path '*/node_modules/*' -print0 | sort -z | xargs -0 -r sha256sum; }
	sums > "$$before"
	$(MAKE) --no-print-directory generate
	sums > "$$after"
	if ! diff "$$before" "$$after"; then
		echo "the files above differed from what templ generates; they are written anew, look at them and commit them"
		exit 1
	fi

# Both run with the tests that carry a tag in view; no file is built only without a tag.
.PHONY: vet
vet:
	$(call heading,go vet)
	$(GO) vet -tags browser,replicate ./...

.PHONY: staticcheck
staticcheck:
	$(call heading,staticcheck)
	$(GO) tool staticcheck -tags browser,replicate ./...

.PHONY: units
units:
	$(call heading,tests: unit$(,) property$(,) fuzz seeds$(,) pages$(,) command)
	$(GO) test ./...

# Tests that start no goroutine of ours and write long histories: the detector
# slows SQLite in Go twentyfold and has nothing to find in them.
SLOW_TO_RACE := TestScripts/(archive|backups|demo|demo_half|demo_hour|import|permission|rebuild|safekeeping|two|unusable)$$|TestWhatStood|TestTheReferenceGrown|TestABatchTakenBack|TestDirtyLists|TestNothingThatWasAcknowledged

# Packages whose tests fill whole yards; what many do there at once, and nothing
# else, is raced.
MANY_AT_ONCE := internal/booking|internal/httpd

# The packages that start goroutines, found by looking: those with a go
# statement, and those that serve the network.
.PHONY: race
race: compiler-installed
	$(call heading,tests under the race detector)
	packages=$$(grep -rlE --include='*.go' '^\s*go (func|[a-zA-Z_.]+\()|\.Go\(|http\.Serve|httptest\.NewServer' internal cmd web \
		| grep -vE '^($(BROWSERTESTS)|$(MANY_AT_ONCE))/' | xargs -r -n1 dirname | sort -u | sed 's|^|./|')
	if [ -z "$$packages" ]; then
		echo "no package starts a goroutine"
	else
		$(GO) test -race -timeout 30m -skip '$(SLOW_TO_RACE)' $$packages
	fi
	$(GO) test -race -timeout 30m -run 'Many' $(patsubst %,./%,$(subst |, ,$(MANY_AT_ONCE)))

.PHONY: browser
browser: browser-installed axe-installed
	$(call heading,the program in a browser)
	CHROME='$(CHROME)' $(GO) test -tags browser -count=1 -parallel 4 -timeout 60m -v ./$(BROWSERTESTS)/... \
		| { grep -vE '^=== |^    --- PASS' || true; }

# ---- what the proof needs ----

# may_install is true where apt-get can install: as root on Debian and its kin.
define may_install
[ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null
endef

define install
DEBIAN_FRONTEND=noninteractive apt-get update -q
DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $(1)
endef

.PHONY: browser-installed
browser-installed:
	$(call heading,a browser)
	if [ -z '$(CHROME)' ] && $(may_install); then
		$(call install,chromium fonts-dejavu-core)
	fi
	chrome='$(CHROME)'
	chrome=$${chrome:-$$(command -v chromium || true)}
	if ! "$${chrome:-no-browser}" --version 2>/dev/null; then
		echo "no browser found. Install Chromium (on Debian, as root: apt-get install chromium),"
		echo "or name one: make test CHROME=/path/to/chrome"
		exit 1
	fi

# axe-core stays beside the browser tests; nothing of it goes into the program.
.PHONY: axe-installed
axe-installed:
	$(call heading,axe-core)
	if [ -f '$(AXE)' ]; then
		echo "axe-core is in $(BROWSERTESTS)/node_modules"
		exit 0
	fi
	if ! command -v npm >/dev/null && $(may_install); then
		$(call install,npm)
	fi
	if ! command -v npm >/dev/null; then
		echo "axe-core is missing, and npm is not here to fetch it. Install Node.js with npm"
		echo "(on Debian, as root: apt-get install npm) and run make test again."
		exit 1
	fi
	npm ci --prefix '$(BROWSERTESTS)' --no-audit --no-fund

# The race detector links with the C compiler; the program itself needs none.
.PHONY: compiler-installed
compiler-installed:
	$(call heading,a C compiler for the race detector)
	if ! command -v gcc >/dev/null && $(may_install); then
		$(call install,gcc libc6-dev)
	fi
	if ! command -v gcc; then
		echo "gcc is missing. Install it (on Debian, as root: apt-get install gcc libc6-dev) and run make test again."
		exit 1
	fi

# ---- measuring and looking ----

.PHONY: bench
bench:
	echo "cores: $$(getconf _NPROCESSORS_ONLN)"
	$(GO) test -run '^$$' -bench . -benchmem ./...

.PHONY: shots
shots: browser-installed axe-installed
	mkdir -p '$(SHOTS)'
	CHROME='$(CHROME)' SHOTS='$(SHOTS)' $(GO) test -tags browser -count=1 -parallel 4 -timeout 12m -run 'TestEveryPage|TestPagesForNobody' ./$(BROWSERTESTS)/...
	echo "pictures are in $(SHOTS)"

# ---- replication ----

# Litestream is no part of the proof: it is another program, and this is tried
# where it is installed.
KILLS ?= 200

.PHONY: kills
kills:
	$(call heading,server and imports are killed at $(KILLS) random moments)
	KILLS=$(KILLS) $(GO) test -count=1 -timeout 60m -v -run ToAKill ./cmd/rungbook

LITESTREAM ?= $(shell command -v litestream)

.PHONY: replicate
replicate:
	$(call heading,replication with Litestream: it and the server are killed at random)
	if [ -z '$(LITESTREAM)' ]; then
		echo "NOT TRIED: litestream is not here. Install it and run make replicate again, or name it:"
		echo "  make replicate LITESTREAM=/path/to/litestream"
		exit 0
	fi
	'$(LITESTREAM)' version
	LITESTREAM='$(LITESTREAM)' $(GO) test -tags replicate -count=1 -timeout 30m -v -run TestReplicated ./cmd/rungbook
