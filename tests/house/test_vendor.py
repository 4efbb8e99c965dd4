from __future__ import annotations

import json
from pathlib import Path

import pytest
import vendor


@pytest.fixture
def manifest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, list[dict[str, str]]]:
    """One shipped file in a folder of its own."""
    monkeypatch.setattr(vendor, "ROOT", tmp_path)
    (tmp_path / "a.css").write_bytes(b"a{}")
    entry = {"to": "a.css", "sha256": vendor.digest(b"a{}")}
    return {"files": [entry], "print_fonts": []}


def test_every_shipped_file_is_the_expected_one_and_names_its_licence() -> None:
    shipped = json.loads(vendor.MANIFEST.read_text())
    assert vendor.faults(shipped) == []
    assert all(entry["licence"] for entry in [*shipped["files"], *shipped["print_fonts"]])


def test_a_changed_file_is_found(manifest: dict[str, list[dict[str, str]]], tmp_path: Path) -> None:
    assert vendor.faults(manifest) == []
    (tmp_path / "a.css").write_bytes(b"a{color:red}")
    assert vendor.faults(manifest) == ["a.css differs from its SHA-256 in vendor.json."]


def test_a_missing_file_is_found(manifest: dict[str, list[dict[str, str]]], tmp_path: Path) -> None:
    (tmp_path / "a.css").unlink()
    assert vendor.faults(manifest) == ["a.css is missing. `make vendor` fetches it."]


@pytest.mark.parametrize(
    "comment", ["/*# sourceMappingURL=a.css.map */", "//# sourceMappingURL=a.js.map\n"]
)
def test_a_file_does_not_name_a_map_that_is_not_shipped(comment: str) -> None:
    assert vendor.SOURCE_MAP.sub(b"", f"a{{}}\n{comment}".encode()) == b"a{}"
