# Everything a newcomer needs: `make demo` and `make test`. Both set up .venv by themselves.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
LOCK := requirements.lock
STAMP := $(VENV)/.ready

SYNAPSE := .venv-synapse

.PHONY: setup synapse demo test fix lock bench soak sbom audit clean

setup: $(STAMP)

$(STAMP): $(LOCK) pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Pitcrier needs Python 3.11 or newer. Set PYTHON=/path/to/python3.11"; exit 1; }
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r $(LOCK)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $@

# The homeserver the Matrix tests talk to, in an environment of its own.
synapse: $(SYNAPSE)/.ready

$(SYNAPSE)/.ready: tests/synapse.lock
	@test -x $(SYNAPSE)/bin/python || $(PYTHON) -m venv $(SYNAPSE)
	$(SYNAPSE)/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r $<
	@touch $@

demo: setup
	@$(BIN)/pitcrier demo

test: setup synapse
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/pytest -n auto

fix: setup
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

bench: setup synapse
	$(BIN)/python -m tests.bench

# A thousand kills on each database; tests/soak/REPORT.md keeps what the long run said.
soak: setup
	$(BIN)/python -m tests.soak both 1000 1

# Re-pin every dependency with its hashes; needs uv on the path.
lock:
	uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--extra dev --python-version 3.11 pyproject.toml -o $(LOCK)
	uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--python-version 3.11 -c $(LOCK) pyproject.toml -o deploy/requirements.run.lock
	printf 'hatchling\neditables\n' | uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--python-version 3.11 -c $(LOCK) - -o deploy/requirements.build.lock
	echo matrix-synapse | uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--python-version 3.11 - -o tests/synapse.lock

# What the bot runs on: a bill of materials (CycloneDX), the licences, and known holes in any of it.
sbom: setup
	test -x .venv-run/bin/python || $(PYTHON) -m venv .venv-run
	.venv-run/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r deploy/requirements.run.lock
	mkdir -p build
	$(BIN)/cyclonedx-py environment .venv-run --pyproject pyproject.toml --output-reproducible --validate --of JSON -o build/sbom.json
	$(BIN)/python deploy/licences.py build/sbom.json > deploy/LICENCES.md

audit: setup
	$(BIN)/pip-audit --require-hashes --disable-pip -r deploy/requirements.run.lock

clean:
	rm -rf $(VENV) .venv-run build $(SYNAPSE) .mypy_cache .ruff_cache .hypothesis .import_linter_cache
