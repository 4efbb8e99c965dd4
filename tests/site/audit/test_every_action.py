"""Every action that the code writes into the record has its sentence, and no sentence is left over.

The actions are read from the code itself: every piece of text that is one, with its variable
parts filled from what the app registered.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from academy.audit import sentences

ACTION = re.compile(r"[a-z]+(\.[a-z][a-z_]*){2}")
CODE = Path(settings.ROOT) / "academy"


def services() -> list[Path]:
    """The files that write into the record."""
    found = [path for path in CODE.rglob("*.py") if "migrations" not in path.parts]
    return [path for path in found if "record(" in path.read_text(encoding="utf-8")]


def written_in(path: Path) -> Iterator[str]:
    """The texts of a file that name an action; `*` stands for a variable part."""
    app = path.relative_to(CODE).parts[0]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.JoinedStr):
            parts = [v.value if isinstance(v, ast.Constant) else "*" for v in node.values]
            text = "".join(str(part) for part in parts)
            if re.fullmatch(rf"{app}\.[a-z_*]+\.[a-z_*]+", text):
                yield text
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            is_action = ACTION.fullmatch(node.value) and node.value.startswith(f"{app}.")
            if is_action and not (CODE / Path(*node.value.split("."))).with_suffix(".py").exists():
                yield node.value


def registered() -> dict[str, str]:
    """The sentences of the site; a test's own action is none of them."""
    return {a: t for a, t in sentences._templates.items() if not a.startswith("audit.")}


def fits(action: str, pattern: str) -> bool:
    return bool(re.fullmatch(re.escape(pattern).replace(r"\*", "[a-z_]+"), action))


@pytest.mark.parametrize("path", services(), ids=lambda path: str(path.relative_to(CODE)))
def test_every_action_in_the_code_has_a_sentence(path: Path) -> None:
    told = [pattern for pattern in written_in(path) if "tasks" not in pattern.split(".")]
    unknown = [p for p in told if not any(fits(action, p) for action in registered())]
    assert unknown == []


def test_every_sentence_belongs_to_an_action_in_the_code() -> None:
    patterns = {pattern for path in services() for pattern in written_in(path)}
    left = [a for a in registered() if not any(fits(a, pattern) for pattern in patterns)]
    assert left == []
    assert len(registered()) > 60
