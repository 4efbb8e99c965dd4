# Thin doors: what each does is written in scripts/setup.py (`python3 scripts/setup.py --help`).
PYTHON ?= python3

.PHONY: run test check lock pictures deep vendor clean-demo

run test check lock pictures deep vendor clean-demo:
	@$(PYTHON) scripts/setup.py $@
