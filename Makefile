# Everything runs in .venv, which each target sets up for itself when it is not there yet.
# Works with GNU make 3.81 (macOS) and later.

BIN := .venv/bin
INTO := build/demo
TASTING := $(INTO)/tasting
APP := $(BIN)/python tools/build_app.py
PIP := $(BIN)/python -m pip --quiet --quiet --disable-pip-version-check

.PHONY: help demo test check app types bench docs pins clean

help:
	@echo "make demo    the result of an invented tasting, with its report"
	@echo "make test    all tests"
	@echo "make check   style, types, directions of import, documentation"
	@echo "make app     the browser app, built into the package (test does it too)"
	@echo "make types   the app's types, from the API"
	@echo "make bench   speed and truthfulness, measured"
	@echo "make docs    the documentation, into build/site"
	@echo "make pins    writes constraints.txt from what is in .venv"
	@echo "make clean   takes away build and the caches (make clean ALL=1: .venv too)"

# --- the environment ----------------------------------------------------------

.venv/bin/python:
	@python=$$(sh tools/find_python.sh) && \
	  echo "halfpoint: making .venv with $$python" && \
	  "$$python" -m venv .venv

.venv/.ready-to-run: pyproject.toml constraints.txt | .venv/bin/python
	@echo "halfpoint: installing what halfpoint runs on (a minute or two, once)"
	@$(PIP) install --upgrade 'pip>=25.1'
	@$(PIP) install --constraint constraints.txt --editable '.[all]'
	@touch $@

.venv/.ready-to-build: .venv/.ready-to-run
	@echo "halfpoint: installing what tests, checks and documentation need (once)"
	@$(PIP) install --constraint constraints.txt --group dev
	@touch $@

# --- what people run ----------------------------------------------------------

demo: .venv/.ready-to-run
	@echo "1 of 4  inventing a tasting: rooms, tasters, wines, and sheets as they come home"
	@rm -rf build/demo
	@$(BIN)/halfpoint demo --into $(TASTING)
	@echo "2 of 4  gathering the sheets into the record"
	@$(BIN)/halfpoint gather $(TASTING)/tasting.toml $(TASTING)/sheets/*
	@echo "3 of 4  looking them over"
	@$(BIN)/halfpoint check $(TASTING)/tasting.toml
	@echo "4 of 4  weighing"
	@$(BIN)/halfpoint results $(TASTING)/tasting.toml \
	  --report $(INTO)/report.pdf --json $(INTO)/result.json --csv $(INTO)/csv

test: .venv/.ready-to-build app
	@$(APP) test
	@CHROMIUM=$$(sh tools/find_chromium.sh) $(BIN)/python -m pytest -n auto -q

app: .venv/.ready-to-run
	@$(APP)

check: .venv/.ready-to-build
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	$(APP) check
	@mkdir -p build
	$(BIN)/towncrier build --draft --version next > build/changelog.md
	$(BIN)/zensical build --strict --clean

bench: .venv/.ready-to-build
	@for file in bench/*.py; do echo "== $$file"; $(BIN)/python "$$file" || exit 1; done

docs: .venv/.ready-to-build
	$(BIN)/python tools/reference.py
	$(BIN)/zensical build --strict --clean
	@echo "documentation  build/site/index.html"

types: .venv/.ready-to-build
	@$(BIN)/python tools/openapi.py
	@$(APP) types

# --- housekeeping -------------------------------------------------------------

pins: .venv/.ready-to-build
	@$(PIP) freeze --exclude-editable | grep '==' > constraints.txt
	@touch .venv/.ready-to-run .venv/.ready-to-build
	@echo "wrote constraints.txt"

clean:
	@rm -rf build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	@find src tests tools bench -name __pycache__ -type d -prune -exec rm -rf {} +
	@if [ -n "$(ALL)" ]; then rm -rf .venv; fi
