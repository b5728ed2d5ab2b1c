# Kingpost: what a fresh machine lacks, these targets install.
# Needs only python3 (3.11 or newer) and make; apt is used where it may be.
PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
OUT    ?= out
PORT   ?= 8484
EARS   := training/build/out
LEARN  := tests/narrations/tuned tests/narrations/tuned2 tests/narrations/split-level-1964.gold.json
PIP    := $(BIN)/python -m pip --disable-pip-version-check -q
export PYTHONDONTWRITEBYTECODE ?=

.PHONY: demo app test check bench train lock clean

demo: $(VENV)/.demo
	@sh tools/system.sh report
	$(BIN)/kingpost report examples/split-level-1964 -o $(OUT)

app: $(VENV)/.demo
	@sh tools/system.sh report
	$(BIN)/kingpost serve app-data --port $(PORT) --sample examples/split-level-1964

test: $(VENV)/.test
	@sh tools/system.sh report tests
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest -n auto

check: $(VENV)/.test          # the quick half of `make test`: style and types
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

# What listening learned (docs/listening.md). The rankers learn from ears that never heard what they rank; the ear that
# ships heard all. Needs torch and transformers in the environment; without them only the rankers are measured, not written.
train: $(VENV)/.test
	$(BIN)/python training/base.py
	PYTHONPATH=training:. $(BIN)/python training/prepare.py $(LEARN)
	@if $(BIN)/python -c 'import torch, transformers' 2>/dev/null; then set -e; \
	    for k in 0 1 2; do $(BIN)/python training/ear.py $(EARS)/folds/$$k --steps 1400 --fold $$k/3; \
	        cat $(EARS)/folds/$$k/ear.onnx.? > $(EARS)/folds/$$k/ear.onnx; done; \
	    $(BIN)/python tools/train_listen.py $(LEARN) --folds $(EARS)/folds --words --write src/kingpost/listen/weights.json; \
	    $(BIN)/python training/ear.py $(EARS)/ships --steps 1400 --narrations; sh training/install.sh $(EARS)/ships; \
	else echo "no torch here: the ear stays as it is"; $(BIN)/python tools/train_listen.py $(LEARN); fi

bench: $(VENV)/.test
	$(BIN)/python -m bench

lock: .tools/bin/uv
	.tools/bin/uv pip compile --universal --python-version 3.11 --generate-hashes --no-header -q -o lock/demo.txt lock/demo.in
	.tools/bin/uv pip compile --universal --python-version 3.11 --generate-hashes --no-header -q -c lock/demo.txt -o lock/test.txt lock/test.in

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Kingpost needs python3 3.11 or newer; set PYTHON=python3.11"; exit 2; }
	@$(PYTHON) -m venv $(VENV) 2>/dev/null || { rm -rf $(VENV); sh tools/system.sh venv && $(PYTHON) -m venv $(VENV); }

$(VENV)/.demo: $(VENV)/bin/python lock/demo.txt pyproject.toml
	$(PIP) install --no-deps --require-hashes --only-binary=:all: -r lock/demo.txt
	$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.test: $(VENV)/.demo lock/test.txt
	$(PIP) install --no-deps --require-hashes --only-binary=:all: --no-binary=psychrolib -r lock/test.txt
	@touch $@

.tools/bin/uv:
	$(PYTHON) -m venv .tools && .tools/bin/python -m pip --disable-pip-version-check -q install uv==0.13.9

clean:
	rm -rf $(OUT) .pytest_cache .mypy_cache .ruff_cache .coverage
