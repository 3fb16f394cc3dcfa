"""What can be said of every entry of the workbook: which value is assumed, and which entry cannot be right."""

from collections.abc import Iterable, Iterator

from sheetcalc.kinds import PERCENT, SHARE, TEMPERATURE, TEXT
from sheetcalc.workbooks.declare import FLAG, Item, Lines, Row, Sheet, Side, Table

_WHOLE = {SHARE: 1, PERCENT: 100}  # all of it, where a share is told
MOST_WORDS = 8  # of a choice that one formula can count


def assumed(blocks: Iterable[object]) -> Table:
    """List every default of the given blocks, and whether it stands in for a blank entry.

    Parameters
    ----------
    blocks : iterable of Block
        Blocks of all sheets.

    Returns
    -------
    Table
        One named row for each entry with a default.
    """
    lines = [part for part in _parts(blocks) if isinstance(part, Lines)]
    items = [item for part in lines for item in part.items if item.default is not None]
    return Table(
        handle="assumptions",
        title="Values assumed while their entries are blank",
        rows=tuple(
            Row(
                f"assumed_{item.handle}",
                item.label,
                {
                    "assumed_state": f'=IF({{{item.handle}!}}="","assumed","typed")',
                    "assumed_value": f"={{{item.handle}?}}",
                },
            )
            for item in items
        ),
        columns=(
            Item(handle="assumed_state", label="State", kind=TEXT, formula='=""'),
            Item(handle="assumed_value", label="Value", kind=TEXT, formula='=""'),
        ),
    )


def _choices(item: Item, cells: str) -> str:
    """Test whether cells hold a word that is none of the choices."""
    if not item.choices:
        return ""
    if len(item.choices) > MOST_WORDS:  # too many for a formula: the function that reads it knows them
        return "=N(ISERROR(SUM({coefficient:?})))"
    known = "+".join(f'COUNTIF({cells},"{word}")' for word in item.choices)
    return f"=N(COUNTA({cells})>{known})"


def _unread(typed: str) -> str:
    """Test whether a line's length cannot be read."""
    return f'=IF({typed}="",0,N(ISERROR(READ_LENGTH({typed}))))'


def _short_of_zero(typed: str) -> str:
    """Test whether a line's length is below zero."""
    return f'=IF({typed}="",0,IF({{bad_number}}=1,0,N(READ_LENGTH({typed})<0)))'


def entries_checked(sheets: Iterable[Sheet]) -> Table:
    """List every entry, and whether it holds what such an entry can hold.

    Parameters
    ----------
    sheets : iterable of Sheet
        All sheets with entries.

    Returns
    -------
    Table
        One named row for each entry that is no free text.
    """
    rows: list[Row] = []
    for title, part in ((sheet.title, part) for sheet in sheets for part in _parts(sheet.blocks)):
        for item in part.items if isinstance(part, Lines) else part.columns:
            if item.formula or (item.kind is TEXT and not item.choices):
                continue
            cells = f"{{{item.handle}[]}}"
            number = not item.choices and not item.kind.typed
            typed = f"{{{item.handle}{'?' if item.default is None else '!'}}}"
            lone = item.kind.typed and isinstance(part, Lines) and item.cells == 1
            signed = (
                item.kind is TEMPERATURE or item.choices or item.kind.typed
            )  # functions refuse short lengths
            whole = _WHOLE.get(item.kind)
            rows.append(
                Row(
                    f"checked_{item.handle}",
                    item.label,
                    {
                        "checked_where": title,
                        "bad_word": _choices(item, cells),
                        "bad_number": _unread(typed)
                        if lone
                        else f"=N(ROWS({cells})*COLUMNS({cells})>COUNT({cells})+COUNTBLANK({cells}))"
                        if number
                        else "=0",
                        "bad_sign": _short_of_zero(typed)
                        if lone
                        else "=0"
                        if signed
                        else f'=N(COUNTIF({cells},"<0")>0)',
                        "bad_share": f'=N(COUNTIF({cells},">{whole}")>0)' if whole else "=0",
                    },
                )
            )
    return Table(
        handle="entries_checked",
        title="Entries: yes where one holds what it cannot hold",
        rows=tuple(Row(row.handle, row.label, {k: v or "=0" for k, v in row.cells.items()}) for row in rows),
        columns=(
            Item(handle="checked_where", label="Sheet", formula='=""'),
            Item(handle="bad_word", label="Unknown word", kind=FLAG, formula='=""'),
            Item(handle="bad_number", label="No number", kind=FLAG, formula='=""'),
            Item(handle="bad_sign", label="Below zero", kind=FLAG, formula='=""'),
            Item(handle="bad_share", label="Over 100 %", kind=FLAG, formula='=""'),
        ),
    )


def _parts(blocks: Iterable[object]) -> Iterator[Lines | Table]:
    for block in blocks:
        for part in (block.left, block.right) if isinstance(block, Side) else (block,):
            if isinstance(part, Lines | Table):
                yield part
