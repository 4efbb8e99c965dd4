"""Fetch the front-end files that Blockwork ships, and check that they are the expected bytes.

`make vendor` fetches each file of static/vendor/vendor.json from its package with npm and makes
the print fonts. `--check` needs neither network nor npm: it compares the committed files with
their SHA-256. `--accept` writes the new sums after a version was raised and the files were read.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import logging
import re
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path
from typing import Any

from fontTools.merge import Merger
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

ROOT = Path(__file__).resolve().parents[1]
MANIFEST = ROOT / "static" / "vendor" / "vendor.json"
# The manifest storage refuses a reference to a map that is not shipped.
SOURCE_MAP = re.compile(rb"\n?/[*/]# sourceMappingURL=\S+?(?: ?\*/|\n|$)")


def digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def faults(manifest: dict[str, Any]) -> list[str]:
    """One sentence for each shipped file that is missing or not the expected bytes."""
    found = []
    for entry in [*manifest["files"], *manifest["print_fonts"]]:
        path = ROOT / entry["to"]
        if not path.is_file():
            found.append(f"{entry['to']} is missing. `make vendor` fetches it.")
        elif digest(path.read_bytes()) != entry["sha256"]:
            found.append(f"{entry['to']} differs from its SHA-256 in vendor.json.")
    return found


def fetch(packages: set[tuple[str, str]], folder: Path) -> dict[str, Path]:
    """Each package's archive, downloaded by npm (no install scripts are run)."""
    archives = {}
    for name, version in sorted(packages):
        answer = subprocess.run(
            ["npm", "pack", "--json", f"{name}@{version}"],
            cwd=folder,
            check=True,
            capture_output=True,
            text=True,
        )
        listed = json.loads(answer.stdout)
        entry = listed[0] if isinstance(listed, list) else next(iter(listed.values()))
        archives[name] = folder / entry["filename"].replace("@", "").replace("/", "-")
    return archives


def member(archive: Path, path: str) -> bytes:
    with tarfile.open(archive) as opened:
        stream = opened.extractfile(f"package/{path}")
        if stream is None:
            raise SystemExit(f"{archive.name} has no file {path}.")
        return stream.read()


def copy_files(manifest: dict[str, Any], folder: Path) -> None:
    archives = fetch({(e["package"], e["version"]) for e in manifest["files"]}, folder)
    for entry in manifest["files"]:
        content = member(archives[entry["package"]], entry["path"])
        if entry["path"].endswith((".css", ".js")):
            content = SOURCE_MAP.sub(b"", content)
        target = ROOT / entry["to"]
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)


def make_print_fonts(manifest: dict[str, Any]) -> None:
    """Static TrueType fonts for the PDFs, out of the variable web fonts.

    A variable font makes a PDF page two to four times slower, and fontconfig finds a font by
    its name table, which the web fonts do not keep. Latin and Latin Extended become one file.
    """
    # Both parts carry the base letters that accented ones are built of; the copies do no harm.
    logging.getLogger("fontTools.merge").setLevel(logging.ERROR)
    for entry in manifest["print_fonts"]:
        with tempfile.TemporaryDirectory() as scratch:
            parts = []
            for number, source in enumerate(entry["from"]):
                font = TTFont(ROOT / source, recalcTimestamp=False)
                font.flavor = None
                instantiateVariableFont(font, {"wght": entry["weight"]}, inplace=True)
                for table in ("STAT", "DSIG", "GDEF", "GPOS", "GSUB"):
                    # The second part's layout tables only repeat the first's.
                    if table in font and (number or table in {"STAT", "DSIG"}):
                        del font[table]
                part = Path(scratch) / f"{number}.ttf"
                font.save(part)
                parts.append(str(part))
            merged = Merger().merge(parts)
            name_font(merged, entry)
            target = ROOT / entry["to"]
            target.parent.mkdir(parents=True, exist_ok=True)
            merged.save(target)


def name_font(font: Any, entry: dict[str, Any]) -> None:
    style = entry["style"]
    postscript = f"{entry['family']}-{style}".replace(" ", "")
    records = {
        1: f"{entry['family']} {style}" if style not in {"Regular", "Bold"} else entry["family"],
        2: style if style in {"Regular", "Bold"} else "Regular",
        3: postscript,
        4: f"{entry['family']} {style}",
        6: postscript,
        16: entry["family"],
        17: style,
    }
    for record in list(font["name"].names):
        if record.nameID in {1, 2, 3, 4, 6, 16, 17, 21, 22, 25}:
            font["name"].names.remove(record)
    for number, text in records.items():
        font["name"].setName(text, number, 3, 1, 0x409)
    font["OS/2"].usWeightClass = entry["weight"]
    bold = style == "Bold"
    font["OS/2"].fsSelection = (font["OS/2"].fsSelection & ~0x61) | (0x20 if bold else 0x40)
    font["head"].macStyle = 1 if bold else 0
    # The same input gives the same bytes on every machine and day.
    font.recalcTimestamp = False
    font["head"].modified = font["head"].created = 3_786_912_000


def main() -> int:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--check", action="store_true", help="compare only; no network")
    reader.add_argument("--accept", action="store_true", help="write the sums of what was fetched")
    chosen = reader.parse_args()
    manifest = json.loads(MANIFEST.read_text())
    if not chosen.check:
        with tempfile.TemporaryDirectory() as folder:
            copy_files(manifest, Path(folder))
        make_print_fonts(manifest)
    if chosen.accept:
        for entry in [*manifest["files"], *manifest["print_fonts"]]:
            entry["sha256"] = digest((ROOT / entry["to"]).read_bytes())
        MANIFEST.write_text(json.dumps(manifest, indent=2) + "\n")
    found = faults(manifest)
    for sentence in found:
        print(sentence, file=sys.stderr)
    if not found:
        count = len(manifest["files"]) + len(manifest["print_fonts"])
        print(f"{count} shipped files are the expected bytes.")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
