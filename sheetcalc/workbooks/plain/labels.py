"""Words that name a cell for a person: its sheet, the first words of its line, the head of its column."""

from sheetcalc.workbooks.plain.reads import CellAt
from sheetcalc.xlsx.formulas import address
from sheetcalc.xlsx.workbook import Workbook

_SAYS_NOTHING = {"value", "result", "entry"}
_LONGEST = 40  # signs of one part


def label(book: Workbook, cell: CellAt) -> str:
    """Name a cell by the words around it.

    Parameters
    ----------
    book : Workbook
        Where it stands.
    cell : CellAt
        The cell.

    Returns
    -------
    str
        Such as "Boards, Run of ten, B"; with its address where its line has no words.
    """
    title, (row, column) = cell
    line, block, head = _line(book, title, row, column), *_over(book, title, row, column)
    words = [title, line, head] if line else [title, block, head, address(row, column)]
    return ", ".join(dict.fromkeys(word for word in words if word))


def _line(book: Workbook, title: str, row: int, column: int) -> str:
    """First words of a line, as far to the left as its cells stand together."""
    words = ""
    for before in range(column - 1, 0, -1):
        if _free(book, title, row, before):
            break
        words = _words(book.sheets[title].value(row, before)) or words
    return words


def _over(book: Workbook, title: str, row: int, column: int) -> tuple[str, str]:
    """Words over a block of cells, and those over the column: the first ones in it."""
    sheet = book.sheets[title]
    top = row
    while top > 1 and not all(_free(book, title, top - 1, at) for at in range(1, column + 1)):
        top -= 1
    block = (_words(sheet.value(top, at)) for at in range(1, column + 1))
    above = [at for at in range(top, row) if not sheet.computed(at, column)]
    head = next(filter(None, (_words(sheet.value(at, column)) for at in above)), "")
    return next(filter(None, block), ""), "" if head.lower() in _SAYS_NOTHING else head


def _free(book: Workbook, title: str, row: int, column: int) -> bool:
    """Tell whether a cell is neither filled nor dressed."""
    sheet = book.sheets[title]
    return sheet.value(row, column) is None and not sheet.style(row, column)


def _words(value: object) -> str:
    first = value.strip().partition("\n")[0].strip() if isinstance(value, str) else ""
    return first if len(first) <= _LONGEST else first[: _LONGEST - 1].rstrip() + "…"
