# What a contributor or a first-time user runs. Needs make and Python 3.11 or newer, nothing else:
# everything is installed into .venv, with the versions pinned in constraints.txt.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet install -c constraints.txt
PINS := pyproject.toml constraints.txt
CHROMIUM ?= $(shell command -v chromium || command -v chromium-browser)

.DELETE_ON_ERROR:
.PHONY: help demo test coverage mutants format readers browser bench bench-quick soak pictures clean

help:
	@echo "make demo         plan the full-size sample and write the results to demo-output/"
	@echo "make test         format, lint, types and the tests: the one check before a commit"
	@echo "make coverage     which lines no test runs: ten minutes on two cores"
	@echo "make mutants MODULE=nesting/checking/cuts.py   which small faults in a module no test notices"
	@echo "make format       put the code into the agreed format"
	@echo "make readers      read the drawings back with a second reader"
	@echo "make browser      open the written page in a browser"
	@echo "make bench        measure beside published values, 1.5 hours; make bench-quick: a part, 3 minutes;"
	@echo "                  make bench ONLY=\"growth order\" LIMIT=2: these benches, 2 s for a set of rectangles"
	@echo "make soak         damaged files, killed runs, random jobs, claims: two hours; SECONDS=60: a quarter"
	@echo "make pictures     make the pictures of README.md anew"
	@echo "make clean        remove .venv, caches and demo-output/"

demo: $(VENV)/.ready
	$(BIN)/reskin plan samples/full-body.toml --out demo-output
	@echo
	@echo "Look at demo-output/index.html first (any browser), then at demo-output/packet.pdf (what a shop is handed)."

test: $(VENV)/.ready-test
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/python -m pytest -n auto -m "not reader and not browser"
	@echo "Left to other targets: the second reader of drawings (make readers), the page in a browser (make browser),"
	@echo "published instances (make bench)."

# A compiled loop is run, but its lines are not seen: tests whose loops are small are run once more, uncompiled.
UNCOMPILED := $(patsubst %,tests/test_%.py,nofit shapepairs placeset edgefitting bars bars_details fitting zero_waste \
  shapepacker separating_details pricing)

coverage: $(VENV)/.ready-test
	rm -f .coverage .coverage.*
	$(BIN)/python -m pytest -n 2 -m "not reader and not browser" --cov --cov-report=
	NUMBA_DISABLE_JIT=1 $(BIN)/python -m pytest -n 2 $(UNCOMPILED) --cov --cov-append --cov-report=
	$(BIN)/coverage report

# Of one module or several; SAMPLE=45 takes so many faults of each by chance; all of a large module take half an hour.
MODULE ?= shared/units.py
SAMPLE ?= 0
mutants: $(VENV)/.ready-test
	$(BIN)/python -m tests.mutants.run --sample $(SAMPLE) $(MODULE)

format: $(VENV)/.ready-test
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

readers: $(VENV)/.ready-reader
	$(BIN)/python -m pytest -m reader

browser: $(VENV)/.ready-browser
	@test -n "$(CHROMIUM)" || { \
	  echo "make browser needs a headless browser: install the Debian package chromium, or give CHROMIUM=/path/to/it" >&2; \
	  exit 1; }
	CHROMIUM="$(CHROMIUM)" $(BIN)/python -m pytest -m browser

BENCH := $(BIN)/python -m tests.bench.run --out build/bench $(addprefix --only ,$(ONLY)) $(addprefix --limit ,$(LIMIT))

bench: $(VENV)/.ready-test
	$(BENCH)

bench-quick: $(VENV)/.ready-test
	$(BENCH) --quick

SECONDS ?= 600
soak: $(VENV)/.ready-test
	$(BIN)/python -m tests.soak.run --seconds $(SECONDS) --out build/soak

pictures: $(VENV)/.ready
	$(BIN)/python samples/pictures.py

clean:
	rm -rf $(VENV) build dist *.egg-info demo-output .pytest_cache .mypy_cache .ruff_cache .hypothesis .coverage .coverage.* htmlcov
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# Each stamp stands for one set of packages; it is older than the pins when they have changed.
$(VENV)/.ready: $(PINS)
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "reskin needs Python 3.11 or newer, and '$(PYTHON)' is not: run make with PYTHON=python3.11, say" >&2; exit 1; }
	@test -x $(BIN)/python || echo "Making $(VENV) and installing into it: a few minutes the first time"
	@$(BIN)/python -c pass 2>/dev/null || $(PYTHON) -m venv --clear $(VENV)
	$(PIP) -e .
	@echo "Compiling the inner loops by planning two small samples: half a minute, once"
	@mkdir -p build
	@for sample in metric-van short-body; do \
	  $(BIN)/reskin plan samples/$$sample.toml --out build/first-run --time-limit 5 >build/first-run.log 2>&1 \
	    || { cat build/first-run.log; exit 1; }; done
	@touch $@

$(VENV)/.ready-test: $(VENV)/.ready
	$(PIP) -e '.[test,lint]'
	@echo "Compiling the other inner loops: a minute, once"
	@$(BIN)/python -c 'from nesting.firstrun import run_every_loop; print(*run_every_loop(), sep="\n")' \
	  >build/first-run.log 2>&1 || { cat build/first-run.log; exit 1; }
	@touch $@

$(VENV)/.ready-browser: $(VENV)/.ready-test
	$(PIP) -e '.[test,lint,browser]'
	@touch $@

$(VENV)/.ready-reader: $(VENV)/.ready-test
	$(PIP) -e '.[test,lint,reader]'
	@touch $@
