# Speakerwright. `make demo` and `make test` set everything up on a fresh machine.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check -q
export MPLCONFIGDIR ?= $(CURDIR)/$(VENV)/matplotlib

.PHONY: demo test lint types contracts prove bench clean

demo: $(VENV)/ready
	$(BIN)/speakerwright check examples/harbour-hall
	$(BIN)/speakerwright plan examples/harbour-hall --out out/harbour-hall.pdf
	@echo "The plan is in out/harbour-hall.pdf"

test: $(VENV)/ready-test debian lint types contracts
	$(BIN)/python -m pytest -n 2

lint: $(VENV)/ready-test
	$(BIN)/ruff check

types: $(VENV)/ready-test
	$(BIN)/mypy

contracts: $(VENV)/ready-test
	$(BIN)/lint-imports

# Large populations, with seeds, and a dated table in docs/proof/. Minutes to an hour.
prove: $(VENV)/ready-test debian
	$(BIN)/python -m pytest -m prove -o addopts="-q --strict-markers --benchmark-disable" -s

bench: $(VENV)/ready-test
	$(BIN)/python -m pytest benchmarks -o addopts="-q" --benchmark-only --benchmark-columns=min,median,max,rounds

.PHONY: debian
debian:
	@sh tests/debian-packages.sh

$(VENV)/made:
	$(PYTHON) -m venv $(VENV) || \
	  ($(PYTHON) -m pip install --user virtualenv && $(PYTHON) -m virtualenv $(VENV))
	@touch $@

$(VENV)/ready: $(VENV)/made requirements.txt pyproject.toml
	$(PIP) install -r requirements.txt
	$(PIP) install --no-deps -e .
	@touch $@

$(VENV)/ready-test: $(VENV)/made requirements-test.txt requirements.txt pyproject.toml
	$(PIP) install -r requirements-test.txt
	$(PIP) install --no-deps -e .
	@touch $@ $(VENV)/ready

clean:
	rm -rf $(VENV) out build dist *.egg-info src/*.egg-info
