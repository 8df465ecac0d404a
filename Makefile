# Two commands are all one needs: `make run` serves the site with an invented firm, `make test` runs every test.
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := run
.PHONY: run test kernels check bench proof study pictures lock

VENV ?= .venv
PY := $(VENV)/bin/python
PORT ?= 8000
export PORT
VAR ?= $(if $(LEVELHEAD_VAR),$(LEVELHEAD_VAR),var)

# The first Python of 3.11 to 3.13 that really runs: some names on the path only say that they are not installed.
define FIND_PYTHON
for name in "$${PYTHON:-}" python3.11 python3.12 python3.13 python3 python; do \
    [ -n "$$name" ] && "$$name" -c 'import sys, venv, sqlite3; sys.exit(not (3, 11) <= sys.version_info < (3, 14))' \
        >/dev/null 2>&1 && { echo "$$name"; exit 0; }; \
done; \
echo "Levelhead needs Python 3.11, 3.12 or 3.13 with venv (Debian, Ubuntu: apt-get install python3 python3-venv)." >&2; \
exit 1
endef

$(VENV)/bin/python:
	@python=$$( $(FIND_PYTHON) ); \
	"$$python" -m venv $(VENV); \
	"$$python" -c 'import platform, sqlite3; print("Python", platform.python_version(), "with SQLite", sqlite3.sqlite_version)'

# A copy of the lock in the environment says what is installed there.
$(VENV)/installed: requirements.txt | $(VENV)/bin/python
	@cmp -s requirements.txt $(VENV)/installed || \
	    { echo "Installing what $< lists; this takes a minute the first time."; \
	    $(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.txt; }
	@cp requirements.txt $(VENV)/installed

$(VENV)/installed-check: requirements-check.txt $(VENV)/installed
	@cmp -s requirements-check.txt $(VENV)/installed-check || \
	    { echo "Installing what $< lists; this takes a minute the first time."; \
	    $(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-check.txt; }
	@cp requirements-check.txt $(VENV)/installed-check

run: $(VENV)/installed
	@export LEVELHEAD_DEMO=1; \
	$(PY) -m trainer.config.set_up && exec $(PY) -m trainer.config.serve

# What locks, counts on triggers or asks within JSON, once more on PostgreSQL.
ON_POSTGRES := $(addprefix tests/trainer/drills/test_,answer.py append_only.py check_races.py flags.py issue.py races.py \
    void_and_erase.py) $(addprefix tests/trainer/people/test_,access.py invite_and_join.py roles.py) \
    tests/trainer/progress/boards/test_trainer.py $(addprefix tests/trainer/progress/test_,held.py rebuild.py) \
    $(addprefix tests/trainer/renders/test_,darkroom.py stock.py) tests/trainer/roster/test_decisions.py

test: $(VENV)/installed-check
	$(PY) -m pytest -m "not proof" -n 2
	.ci/postgres $(PY) -m pytest -m "not proof" -n 2 $(ON_POSTGRES)

# What draws frames takes a minute or two to compile; `.ci/run` does it beside the checks.
kernels: $(VENV)/installed
	@folder=$$(mktemp -d); trap 'rm -rf "$$folder"' EXIT; export LEVELHEAD_VAR="$$folder"; \
	$(PY) manage.py migrate -v0; $(PY) manage.py library; $(PY) manage.py warm

check: $(VENV)/installed-check
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .
	$(PY) -m mypy
	$(VENV)/bin/lint-imports
	$(PY) manage.py makemigrations --check --dry-run
	$(PY) manage.py scenarios check
	LEVELHEAD_PRODUCTION=1 LEVELHEAD_HOSTS=levelhead.example \
	    SECRET_KEY=$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(64))') \
	    $(PY) manage.py check --deploy --fail-level WARNING

bench: $(VENV)/installed-check
	$(PY) -m bench

proof: $(VENV)/installed-check
	$(PY) -m pytest -m proof -p no:randomly -s
	.ci/postgres $(PY) -m pytest -m "not proof" -n 2 tests/trainer

study: $(VENV)/installed
	$(PY) -m bench.study

pictures: $(VENV)/installed-check
	$(PY) -m tests.browser.pictures

# For maintainers: uv writes one lock for all three Pythons; nobody else needs it.
lock:
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url \
	    pyproject.toml --output-file requirements.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url \
	    --constraint requirements.txt --extra check pyproject.toml --output-file requirements-check.txt
