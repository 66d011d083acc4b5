# Two commands matter: `make demo` and `make test`. `make` alone lists the rest.

GO ?= go
TESTFLAGS ?=
STATICCHECK := honnef.co/go/tools/cmd/staticcheck@v0.8.2

.DEFAULT_GOAL := help
.PHONY: help build demo test torture-jobs bench generate coverage-of-law lint clean postgresql withpostgres

help: ## list the targets
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | while IFS="$$(printf '\t')" read -r target what; do \
		printf '  make %-15s %s\n' "$$target" "$$what"; done

build: ## build bin/sillbook
	CGO_ENABLED=0 $(GO) build -trimpath -ldflags '-X main.built=$(shell git describe --always --dirty 2>/dev/null)' -o bin/sillbook ./cmd/sillbook

demo: build postgresql ## load the invented scenario, tell its story and stay up; ONCE=1 ends after the story
	bin/sillbook demo $(if $(filter-out 0,$(ONCE)),--once)

test: withpostgres postgresql ## run every test against one private PostgreSQL; TESTFLAGS go to go test
	bin/withpostgres $(GO) test $(TESTFLAGS) ./...

torture-jobs: withpostgres postgresql ## live many random jobs against the model of the rules, and tell many of one phone in many orders; CHECKS=2000
	bin/withpostgres $(GO) test ./internal/httpapi -count 1 -timeout 0 -run 'JobsLiveAsTheModelSays|ObservationsToldOffline' -rapid.checks=$(or $(CHECKS),2000) $(TESTFLAGS)

bench: build postgresql ## measure, and print the table
	bin/sillbook bench

generate: ## write the Go code that openapi.yaml stands for
	$(GO) generate ./...

coverage-of-law: ## write testdata/law/README.md: each rule with its clause, numbers, checks and sources
	$(GO) run ./internal/archtest/lawtable

lint: ## formatting, vet, staticcheck, and generated code that is up to date
	@unformatted=$$(git ls-files '*.go' | xargs gofmt -l); \
		if [ -n "$$unformatted" ]; then echo "not formatted (gofmt -w):"; echo "$$unformatted"; exit 1; fi
	$(GO) vet ./...
	$(GO) run $(STATICCHECK) ./...
	@generated() { find api -type f 2>/dev/null | sort | xargs cat | cksum; }; \
		before=$$(generated); $(MAKE) --no-print-directory generate; \
		if [ "$$before" != "$$(generated)" ]; then \
			echo "the generated code was not what openapi.yaml says; 'make generate' has now written it: commit it"; exit 1; fi

clean: ## remove what was built
	rm -rf bin

# PostgreSQL's binaries, installed where that needs nobody's password.
postgresql: withpostgres
	@bin/withpostgres -installed || { .ci/install-postgresql && bin/withpostgres -installed; }

withpostgres:
	@CGO_ENABLED=0 $(GO) build -o bin/withpostgres ./internal/pgtest/withpostgres
