# make demo   the program with its demo data, on 127.0.0.1
# make test   everything that must hold, on SQLite and PostgreSQL
# make help   the rest

.DELETE_ON_ERROR:
.PHONY: help demo demo-reset test check words bench prove guide cert lock clean runtime developer
.DEFAULT_GOAL := help

PYTHON ?= python3
venv := .venv
python := $(venv)/bin/python
pip_install := $(python) -m pip install --quiet --progress-bar off --require-hashes

# Nothing is written outside this folder.
export PIP_CACHE_DIR := $(CURDIR)/.cache/pip
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export UV_CACHE_DIR := $(CURDIR)/.cache/uv

# A lock file's checksum is in the name of its stamp: only a changed lock installs again.
venv_made := $(venv)/made
runtime_installed := $(venv)/runtime-$(firstword $(shell cksum < requirements.lock))
developer_installed := $(venv)/developer-$(firstword $(shell cksum < requirements-dev.lock))

help:
	@echo 'make demo        start the program with its demo data on 127.0.0.1'
	@echo 'make demo-reset  throw the demo data away and start over'
	@echo 'make test        the checks, then the suite on SQLite and on PostgreSQL'
	@echo 'make check       the checks alone: format, lint, types, layers, migrations, deployment'
	@echo 'make words       take new messages into the Spanish catalogue, and list what has no Spanish'
	@echo 'make bench       measure, SIZE=S, M or L'
	@echo 'make prove       tablets over a failing network, the server killed on the way; SESSIONS=100 SEED=1'
	@echo 'make guide       take the pictures of the guide inside the program anew'
	@echo 'make cert        https for tablets, FOR="192.168.1.20 shop.lan": the addresses of this machine'
	@echo 'make lock        write the lock files again; UPGRADE=--upgrade takes newer releases'
	@echo 'make clean       remove what was installed and cached here; the data stays'

demo: runtime
	@$(python) manage.py demo

demo-reset: runtime
	@$(python) manage.py demo --reset

test: developer
	@$(python) -m tests.support.run_suite

check: developer
	@$(python) -m tests.support.checks

words: developer
	@$(python) -m tests.support.words

bench: developer
	@$(python) -m tests.support.with_servers postgresql --durable -- \
		$(python) -m tests.bench $(or $(SIZE),S)

prove: developer
	@SESSIONS=$(or $(SESSIONS),100) SEED=$(or $(SEED),1) \
		$(python) -m tests.support.run_suite --database postgresql tests/faults -q

guide: developer
	@$(python) -m tests.guide

cert: runtime
	@$(python) manage.py certificate $(FOR)

runtime: $(runtime_installed)
developer: $(developer_installed)

$(venv_made):
	@$(PYTHON) -c 'import sys; sys.version_info >= (3, 11) or sys.exit("Python 3.11 or newer is needed: make PYTHON=python3.11 ...")'
	@$(PYTHON) -m venv --clear $(venv)
	@touch $@

$(runtime_installed): | $(venv_made)
	@echo 'Installing the pinned packages into $(venv), once; this takes about a minute.'
	@$(pip_install) -r requirements.lock
	@touch $@

# The developer's lock holds every pin of the other (tests/house/test_locks.py).
$(developer_installed): | $(venv_made)
	@echo 'Installing the pinned packages into $(venv), once; this takes about a minute.'
	@$(pip_install) -r requirements-dev.lock
	@touch $@ $(runtime_installed)

uv := .cache/lock/bin/uv
compile := $(uv) pip compile --quiet --universal --generate-hashes --python-version 3.11 \
	--no-header --no-emit-index-url --no-emit-find-links $(UPGRADE)

lock: $(uv)
	$(compile) pyproject.toml -o requirements.lock
	$(compile) --constraint requirements.lock --group dev --group peers pyproject.toml -o requirements-dev.lock
	@! grep -n '://' requirements.lock requirements-dev.lock

$(uv):
	@$(PYTHON) -m venv --clear .cache/lock
	@.cache/lock/bin/pip install --quiet uv

clean:
	rm -rf $(venv) .cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
