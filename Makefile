# `make demo` and `make test` need only Python 3.11+ and make; each does its own set-up.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
READY  := $(VENV)/.ready

.DEFAULT_GOAL := help
.PHONY: help setup demo test check bench serve openapi sdk words format lock clean

help:  ## list the targets
	@grep -E '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*##/\t/'

$(READY): requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "swardcost needs Python 3.11 or newer; set PYTHON=...")'
	@echo "setting up $(VENV) (once) ..."
	@$(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	@touch $(READY)

setup: $(READY)  ## virtual environment with locked dependencies and an editable install

demo: $(READY)  ## run the main job against a real server with an invented club
	@$(BIN)/python -m swardcost_api.demo

test: $(READY)  ## the test suite, on SQLite and, where one runs, PostgreSQL
	@$(BIN)/python -m pytest -n auto --dist loadgroup

check: $(READY)  ## formatting, lint, types
	@$(BIN)/ruff format --check .
	@$(BIN)/ruff check .
	@$(BIN)/mypy

bench: $(READY)  ## speed and memory, as ratios to a floor measured in the same run
	@$(BIN)/python -m pytest tests/bench -m bench -s -p no:xdist

serve: $(READY)  ## the service on http://127.0.0.1:8787
	@$(BIN)/swardcost serve

openapi: $(READY)  ## record the examples and rewrite openapi/swardcost.json from the code
	@$(BIN)/python tests/contract/recording.py
	@$(BIN)/swardcost openapi > openapi/swardcost.json.new && mv openapi/swardcost.json.new openapi/swardcost.json

sdk: $(READY)  ## rewrite the blocking client from the asynchronous one
	@$(BIN)/python tests/sdk/blocking_client.py

words: $(READY)  ## take new messages of packets into the catalogs of all languages
	@$(BIN)/python tests/packets/word_catalogs.py

format: $(READY)  ## format and mend what can be mended by itself
	@$(BIN)/ruff format .
	@$(BIN)/ruff check --fix .

lock: $(READY)  ## resolve the dependencies again into requirements.lock
	@$(BIN)/uv pip compile pyproject.toml --all-extras --universal --python-version 3.11 --generate-hashes \
		--no-emit-index-url --no-emit-find-links --no-header --quiet --upgrade -o requirements.lock

clean:  ## remove the virtual environment and caches
	@rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis dist build
