# One command each, from a clean clone: make demo, make serve, make test, make bench.
# Each makes its own virtual environment in .venv and installs nothing outside it.

VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
CANDIDATES := python3 python3.14 python3.13 python3.12 python3.11
SOURCES := pyproject.toml README.md LICENSE $(shell find src -type f -not -path '*/__pycache__/*' -not -path '*.egg-info/*')

.PHONY: demo serve test bench lock clean

demo: $(VENV)/driploop.stamp
	@mkdir -p out
	@rm -f out/orchard.pdf
	@# Exit code 1 says that something found must be mended: the paper is made all the same.
	@$(BIN)/driploop packet examples/orchard.toml --out out/orchard.pdf || [ $$? -eq 1 ]
	@test -s out/orchard.pdf
	@echo "The packet is at out/orchard.pdf"

serve: $(VENV)/driploop.stamp $(VENV)/web.stamp
	$(BIN)/driploop serve

test: $(VENV)/driploop.stamp $(VENV)/development.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/pytest --numprocesses auto

bench: $(VENV)/driploop.stamp $(VENV)/bench.stamp $(VENV)/pandapower.stamp
	$(BIN)/python benchmarks/bench.py
	$(BIN)/python benchmarks/bench_store.py
	$(BIN)/python benchmarks/bench_web.py

# The first Python that is new enough, or the one named by PYTHON=...
$(VENV)/made.stamp:
	@found=; for python in $(or $(PYTHON),$(CANDIDATES)); do \
	    if "$$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then found="$$python"; break; fi; \
	done; \
	if [ -z "$$found" ]; then \
	    echo "driploop needs Python 3.11 or later; tried: $(or $(PYTHON),$(CANDIDATES))." >&2; \
	    echo "Install one, or name yours:  make demo PYTHON=/path/to/python3" >&2; exit 1; \
	fi; \
	"$$found" -m venv --clear $(VENV) || { \
	    echo "Could not make $(VENV). Some systems keep Python's venv module in a package of its own (python3-venv)." >&2; \
	    exit 1; \
	}
	@touch $@

$(VENV)/runtime.stamp: requirements.txt $(VENV)/made.stamp
	$(PIP) install --require-hashes -r requirements.txt
	@touch $@

# The pages and their database, which a desk without them does not need.
$(VENV)/web.stamp: requirements-web.txt $(VENV)/runtime.stamp
	$(PIP) install --require-hashes -r requirements-web.txt
	@touch $@

$(VENV)/development.stamp: requirements-dev.txt $(VENV)/web.stamp
	$(PIP) install --require-hashes -r requirements-dev.txt
	@touch $@

$(VENV)/bench.stamp: requirements-bench.txt $(VENV)/development.stamp
	$(PIP) install --require-hashes -r requirements-bench.txt
	@touch $@

# In an environment of its own: it asks for older versions. Where they cannot be had, the benchmark says so and goes on.
$(VENV)/pandapower.stamp: requirements-pandapower.txt $(VENV)/made.stamp
	@$(BIN)/python -m venv --clear $(VENV)/pandapower && \
	    $(VENV)/pandapower/bin/python -m pip --disable-pip-version-check --quiet install --require-hashes -r $< \
	    || rm -rf $(VENV)/pandapower
	@touch $@

# A build directory left behind would carry deleted files into the next install.
$(VENV)/driploop.stamp: $(SOURCES) $(VENV)/runtime.stamp
	@rm -rf build
	$(PIP) install --no-deps --no-build-isolation --force-reinstall .
	@rm -rf build
	@touch $@

# Renews the lock files from pyproject.toml and requirements*.in. Needs uv; nothing else here does.
LOCK := uv pip compile --quiet --universal --python-version 3.11 --upgrade --generate-hashes \
    --no-header --no-annotate --no-emit-index-url --no-emit-find-links

lock:
	$(LOCK) pyproject.toml requirements.in --output-file requirements.txt
	$(LOCK) pyproject.toml --extra web --extra postgresql --constraints requirements.txt \
	    --output-file requirements-web.txt
	$(LOCK) requirements-dev.in --constraints requirements.txt --constraints requirements-web.txt \
	    --output-file requirements-dev.txt
	$(LOCK) requirements-bench.in --constraints requirements.txt --constraints requirements-dev.txt \
	    --output-file requirements-bench.txt
	$(LOCK) requirements-pandapower.in --output-file requirements-pandapower.txt

clean:
	rm -rf $(VENV) build out src/*.egg-info
