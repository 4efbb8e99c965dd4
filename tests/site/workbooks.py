"""Reads a workbook as a spreadsheet program would: texts, figures, and never a formula."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree as ET
from zipfile import ZipFile

SPACE = {"m": "http://schemas.openxmlformats.org/spreadsheetml/2006/main"}


def cells_of(data: bytes, number: int) -> list[dict[str, str | float]]:
    """The rows of the sheet with this number, each cell by its column's letter."""
    with ZipFile(io.BytesIO(data)) as book:
        texts = _tree(book, "xl/sharedStrings.xml").iterfind("m:si", SPACE)
        shared = ["".join(t.text or "" for t in one.iterfind(".//m:t", SPACE)) for one in texts]
        sheet = _tree(book, f"xl/worksheets/sheet{number}.xml")
    assert sheet.find(".//m:f", SPACE) is None, "a formula"
    return [
        {
            re.sub(r"\d", "", cell.attrib["r"]): _value(cell, shared)
            for cell in row.iterfind("m:c", SPACE)
        }
        for row in sheet.iterfind(".//m:row", SPACE)
    ]


def _tree(book: ZipFile, name: str) -> ET.Element:
    return ET.fromstring(book.read(name))  # noqa: S314  (our own workbook)


def _value(cell: ET.Element, shared: list[str]) -> str | float:
    value = cell.findtext("m:v", "", SPACE)
    return shared[int(value)] if cell.attrib.get("t") == "s" else float(value)
