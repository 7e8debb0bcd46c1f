# Everything that the project does from a fresh machine: needs python3 (3.11 or newer) with venv, and make.
SHELL := /bin/bash
PYTHON ?= python3
PORT ?= 5006
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/installed

export GX_ANALYTICS_ENABLED := false
export DBT_SEND_ANONYMOUS_USAGE_STATS := false
export DO_NOT_TRACK := 1

.PHONY: install demo test trust lint bench clean
.DEFAULT_GOAL := help

help:  ## say what can be made
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/^([a-z]+):.*## /  make \1\t/'

install: $(STAMP)  ## set everything up in .venv

$(STAMP): requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null \
		|| { echo "Python 3.11 or newer is needed; '$(PYTHON)' is not. Name another with PYTHON=python3.11."; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null \
		|| { echo "Python's venv module is missing. On Debian and Ubuntu: apt-get install python3-venv"; exit 1; }
	@echo "Setting up $(VENV); this takes a few minutes once."
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes --requirement requirements.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	@touch $@

demo: $(STAMP)  ## load the demo years and serve the dashboard (PORT=5006)
	@$(BIN)/tautleaf demo --home demo_home --port $(PORT)

test: $(STAMP)  ## run all tests
	$(BIN)/python -m pytest -n 2 --dist worksteal

trust: $(STAMP)  ## the properties that must always hold, on many new examples each time
	$(BIN)/python -m pytest -n 2 --dist worksteal -m hypothesis --hypothesis-profile=afresh

lint: $(STAMP)  ## formatter, linter, types and SQL linter, without exemptions
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/sqlfluff lint --disable-progress-bar warehouse

bench: $(STAMP)  ## measure speed and memory, and score the reader on the corpus of ugly files
	$(BIN)/python -m tests.benchmarks
	$(BIN)/python tests/corpus/score.py

clean:  ## remove what can be made again
	rm -rf $(VENV) demo_home .pytest_cache .mypy_cache .ruff_cache .hypothesis *.egg-info
