"""Everything that `make` does for Blockwork, with nothing but Python's standard library.

run         make the environment, prepare the database and the demo, serve the site
test        bring what tests need and run them all; what is missing is skipped and says why
check       the checks of style, types, imports, templates, settings and shipped files
deep        the tests that take long
lock        lock the packages of requirements/*.in with their hashes
pictures    photograph every main page of the demo into pictures/
vendor      fetch the shipped front-end files again (needs npm)
clean-demo  put the data of `make run` aside and load the demo afresh
"""

from __future__ import annotations

import argparse
import sys

if sys.version_info < (3, 11):  # noqa: UP036  (it may well be started with an older one)
    sys.exit(
        "Blockwork needs Python 3.11 or newer; this is "
        f"{sys.version_info[0]}.{sys.version_info[1]}. "
        "With another one: make run PYTHON=python3.12"
    )

from house import serve, work
from house.machine import CannotGoOnError

COMMANDS = {
    "run": serve.run,
    "clean-demo": serve.clean_demo,
    "test": work.test,
    "check": work.check,
    "deep": work.deep,
    "lock": work.lock,
    "pictures": work.pictures,
    "vendor": work.vendor,
}


def main() -> int:
    reader = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    reader.add_argument("command", choices=COMMANDS)
    try:
        return COMMANDS[reader.parse_args().command]()
    except CannotGoOnError as trouble:
        print(trouble, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main())
