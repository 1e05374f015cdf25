"""The fabricator's tables as CSV, one file a table, for programs and for spreadsheets.

RFC 4180: commas, a decimal point, lines that end in CR LF, texts in quotes and numbers bare. The files are
UTF-8 with a byte order mark: without one the spreadsheets that most shops have take a file for the system's
own code page and show "Ø" and "°" as two letters each, and whatever reads UTF-8 can skip the mark. Where the
system's comma is decimal, such a spreadsheet wants the file imported rather than opened; the workbook
has the same figures and no such question. Every row ends with what it was made from.

A spreadsheet takes a cell that begins with = + - or @ for a formula, which could start a program, and quotes
do not stop it. Such a beginning of a text gets an apostrophe before it, after a separator inside the text
too, where a spreadsheet that splits at another character would begin a cell. Numbers are never touched.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from io import StringIO
from pathlib import Path

from mountgen.package.tables import Page, Table, Value
from mountgen.survey.records import Survey

FORMULA = re.compile(r"((?:^|[,;|\t\r\n])[\s\"']*)(?=[=+\-@\uff1d\uff0b\uff0d\uff20])")
"""Where a cell would begin with a sign of a formula; their full-width forms are read as the same."""


def write_csv_tables(folder: Path, pages: Iterable[Page], survey: Survey) -> None:
    """Writes every table to the new folder as <name>.csv."""
    folder.mkdir()
    for page in pages:
        for table in page.tables:
            text = csv_text(table, survey)
            (folder / f"{table.name}.csv").write_bytes(text.encode("utf-8-sig"))


def csv_text(table: Table, survey: Survey) -> str:
    """The table as the text of a CSV file."""
    stream = StringIO()
    writer = csv.writer(stream, quoting=csv.QUOTE_NONNUMERIC)
    origin = {"Survey": survey.name, "Revision": survey.revision, "Survey SHA-256": survey.source_sha256}
    if table.basis:
        origin["Times and prices"] = table.basis
    writer.writerow([harmless(head) for head in (*(column.head for column in table.columns), *origin)])
    for row in table.rows:
        writer.writerow([_cell(value) for value in (*row, *origin.values())])
    return stream.getvalue()


def harmless(text: str) -> str:
    """The text with an apostrophe wherever a spreadsheet could take what follows for a formula."""
    return FORMULA.sub(r"\1'", text)


def _cell(value: Value) -> Value:
    return harmless(value) if isinstance(value, str) else value
