"""Tables as files for spreadsheets: CSV, and workbooks in which figures are figures.

A spreadsheet takes a text that begins like a sum for a sum, and may run it. In CSV such a text
gets an apostrophe before it; in a workbook the cell itself says that it is text.
"""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import TYPE_CHECKING

import xlsxwriter
from django.http import HttpResponse
from django.utils.text import slugify

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    Table = Sequence[Sequence[object]]

CSV, XLSX = "csv", "xlsx"
_TYPES = {
    CSV: "text/csv; charset=utf-8",
    XLSX: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
# Full-width signs too: some programs take them for the plain ones.
_FORMULA_SIGNS = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")
_WIDEST = 60


def download(title: str, form: str, tables: Mapping[str, Table]) -> HttpResponse:
    """A file of these tables by name, each with a heading row; CSV holds the first alone."""
    data = workbook(tables) if form == XLSX else as_csv(next(iter(tables.values())))
    answer = HttpResponse(data, content_type=_TYPES[form])
    name = slugify(title) or "table"
    answer["Content-Disposition"] = f'attachment; filename="{name}.{form}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def as_csv(rows: Table) -> bytes:
    """In UTF-8 with its mark, as spreadsheets want it."""
    text = io.StringIO()
    csv.writer(text).writerows([[_harmless(cell) for cell in row] for row in rows])
    return ("\ufeff" + text.getvalue()).encode()


def workbook(tables: Mapping[str, Table]) -> bytes:
    """A workbook with a sheet for each table; heading rows stay in sight."""
    data = io.BytesIO()
    with xlsxwriter.Workbook(data, {"in_memory": True}) as book:
        bold = book.add_format({"bold": True})
        for name, rows in tables.items():
            sheet = book.add_worksheet(name[:31])
            for number, row in enumerate(rows):
                for column, cell in enumerate(row):
                    _write(sheet, number, column, cell, None if number else bold)
            sheet.freeze_panes(1, 0)
            for column, width in enumerate(_widths(rows)):
                sheet.set_column(column, column, width)
    return data.getvalue()


def _write(
    sheet: xlsxwriter.worksheet.Worksheet, row: int, column: int, cell: object, style: object
) -> None:
    if cell is None or cell == "":
        return
    if isinstance(cell, bool) or not isinstance(cell, int | float | Decimal):
        # Never `write`, which makes a formula of a text that looks like one.
        sheet.write_string(row, column, str(cell), style)
    else:
        sheet.write_number(row, column, float(cell), style)


def _widths(rows: Table) -> Iterable[int]:
    return [
        min(_WIDEST, 2 + max(len("" if cell is None else str(cell)) for cell in column))
        for column in zip(*rows, strict=True)
    ]


def _harmless(cell: object) -> object:
    if isinstance(cell, str) and cell.startswith(_FORMULA_SIGNS):
        return f"'{cell}"
    return "" if cell is None else cell
