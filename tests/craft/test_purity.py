"""The computing runs without the site."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    "module",
    ["academy.craft.measure", "academy.craft.rules", "academy.craft.exercise.engine"],
)
def test_the_computing_loads_without_the_framework(module: str) -> None:
    code = f"import {module}, sys; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
