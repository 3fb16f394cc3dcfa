"""Sentences of a workbook that are untrue in its plain edition, and what stands there instead."""

import re

from sheetcalc.xlsx.workbook import Workbook

_QUOTE = rb"(?:\"|&quot;)"
_REWORDED = (
    (
        rb"A length is inches, or text with its own marks: [^<]*?(?= Framed)",
        rb"A length is a number of inches: 171 3/8, or =14*12+3+3/8; no feet and inches as text here.",
    ),
    (
        rb"A length is (?:mm|millimetres), or text with its own marks: [^<]*?(?= Framed)",
        rb"A length is a number of mm: 4350, or =4.35*1000; no units as text here.",
    ),
    (
        rb"After typing, run: sheetcalc compute [^<]*?by itself\)\.",
        rb"All lines follow what you type, but not those marked stored: see the sheet Stored.",
    ),
    (
        rb"=ENTRY_PROBLEM\("
        + _QUOTE
        + rb"COURSE_COUNT"
        + _QUOTE
        + rb", \.\.\.\) with the same arguments [^<]*",
        rb"This edition has ordinary formulas only: at an error look at the entries that the line uses.",
    ),
    (rb"Lengths in (inches|mm) unless they carry their own marks", rb"Lengths are numbers of \1"),
    (
        rb"The cell functions of this workbook\. They work in any cell[^<]*",
        rb"What the formulas of this edition stand for. The functions themselves cannot be called here.",
    ),
    (
        rb"Type a length: inches such as 3 3/8, or text such as [^.<]*?" + _QUOTE + rb"\.",
        rb"Type a length in inches, such as 3 3/8 or =14*12+3+3/8.",
    ),
    (
        rb"Type a length: mm such as 95, or text such as 4\.35 m\.",
        rb"Type a length in mm, such as 95 or =4.35*1000.",
    ),
)


def reword(book: Workbook) -> None:
    """Reword what only the edition with the functions may say, in cells and in what entries ask for.

    Parameters
    ----------
    book : Workbook
        The workbook; its sheets must not have been read yet.
    """
    for part in book.parts_with_words:
        text = before = book.package.read(part)
        for found, instead in _REWORDED:
            text = re.sub(found, instead, text)
        if text != before:
            book.package.change(part, text)
