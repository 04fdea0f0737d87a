.DEFAULT_GOAL := help
SHELL := /bin/sh
PY := .venv/bin/python

.PHONY: help
help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | awk -F'\t' '{printf "  make %-12s %s\n", $$1, $$2}'

.venv/.run: requirements/run.txt pyproject.toml tools/make_venv.sh
	@sh tools/make_venv.sh requirements/run.txt
	@touch $@

.venv/.test: requirements/test.txt pyproject.toml tools/make_venv.sh
	@sh tools/make_venv.sh requirements/test.txt
	@touch $@ .venv/.run

.PHONY: demo
demo: .venv/.run ## make a demo workspace in ./demo and run the main job over it
	@.venv/bin/sinkside demo demo

.PHONY: serve
serve: .venv/.run ## serve an invented house on 127.0.0.1, with a printed sign-in for each role
	@.venv/bin/sinkside serve --demo

.PHONY: lint
lint: .venv/.test ## style, types and floors
	@.venv/bin/ruff check .
	@.venv/bin/ruff format --check .
	@.venv/bin/mypy
	@.venv/bin/lint-imports

.PHONY: test-packages
test-packages:
	@sh tools/debian_packages.sh poppler-utils chromium libatomic1 postgresql libdmtx0b fonts-noto-core fonts-noto-cjk tesseract-ocr tesseract-ocr-deu tesseract-ocr-fra tesseract-ocr-spa

.PHONY: test
test: .venv/.test test-packages lint ## everything that must pass before a change lands
	@$(PY) -m pytest -q -n 2 -m "not long"

.PHONY: test-long
test-long: .venv/.test test-packages ## the longer hunts, a night long, with their figures at the end; ONLY=tests/archive for some
	@$(PY) -m pytest -q -n 2 -m long $(ONLY)

.PHONY: bench
bench: .venv/.test ## measured ratios, side by side in one run
	@$(PY) tools/bench.py
	@$(PY) tools/bench_routes.py
	@$(PY) tools/bench_cycles.py
	@$(PY) tools/bench_house.py
	@$(PY) tools/bench_papers.py
	@$(PY) tools/bench_teaching.py
	@$(PY) tools/bench_taps.py

.PHONY: bench-history
bench-history: .venv/.test test-packages ## years of a department on both databases, 0.4 and 4 million events; 20 GB, an hour
	@$(PY) tools/bench_history.py --database sqlite
	@$(PY) tools/bench_history.py --database postgresql

.PHONY: bench-large
bench-large: .venv/.test test-packages ## 40 million events on PostgreSQL; 80 GB, half a night
	@$(PY) tools/bench_history.py --database postgresql --events 40000000

.PHONY: docs
docs: .venv/.test ## the pages of docs that are made from the program
	@$(PY) tools/docs_pages.py

.PHONY: pictures
pictures: .venv/.test ## the pictures of the README and the gallery of every page, made anew from the demo
	@sh tools/debian_packages.sh chromium poppler-utils
	@$(PY) tools/pictures.py
	@$(PY) tools/gallery.py
	@$(PY) tools/gallery_papers.py

.PHONY: lock
lock: ## resolve the requirement files anew (needs uv)
	@uv pip compile --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url --no-emit-find-links --no-annotate -q pyproject.toml --group build -o requirements/run.txt
	@uv pip compile --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url --no-emit-find-links --no-annotate -q pyproject.toml --group build --group test -o requirements/test.txt
