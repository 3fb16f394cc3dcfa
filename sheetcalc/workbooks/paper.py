"""Where a printed page ends, so that no block loses its head."""

from collections.abc import Iterable

from sheetcalc.workbooks.page import Page
from sheetcalc.workbooks.style import ROW_HEIGHT

INCH = 72.0  # points
LETTER, A4 = (8.5, 11.0), (8.27, 11.69)  # inches, from memory
MARGINS = {"left": 0.6, "right": 0.6, "top": 0.6, "bottom": 0.75, "header": 0.3, "footer": 0.35}
CHARACTER = 5.25  # points across a character of column width
SURE = 0.94  # of a page's height: programs differ a little in how they measure


def breaks(page: Page) -> list[int]:
    """Find the rows after which a printed page ends.

    A block that fits on a page is not cut; of a longer one, title, head and a few rows stay together. Made
    for the shorter page of Letter and A4, fitted to its width.
    """
    width = sum(page.width(column) for column in range(1, page.last_column + 1))
    ends = [*(first for first, _ in page.blocks[1:]), page.row]
    return page_ends(
        [
            (first, _height(page, first, after), _height(page, first, kept))
            for (first, kept), after in zip(page.blocks, ends, strict=True)
        ],
        SURE * min(page_room(width, paper, landscape=page.sheet.landscape) for paper in (LETTER, A4)),
    )


def page_ends(blocks: Iterable[tuple[int, float, float]], room: float) -> list[int]:
    """Find the rows after which a page ends, for blocks one below the other.

    Parameters
    ----------
    blocks : iterable of (int, float, float)
        First row, height, and the height that stays together where the block is longer than a page.
    room : float
        Height of a page, as `page_room` gives it.
    """
    found: list[int] = []
    used = 0.0
    for first, height, kept in blocks:
        least = height if height <= room else kept
        if used and used + least > room:
            found.append(first - 1)
            used = 0.0
        used = (used + height) % room
    return found


def page_room(width: float, paper: tuple[float, float], *, landscape: bool) -> float:
    """Height that a page holds, in points of its rows, of a sheet so many characters wide."""
    across, down = reversed(paper) if landscape else paper
    scale = (across - MARGINS["left"] - MARGINS["right"]) * INCH / (CHARACTER * width)
    return (down - MARGINS["top"] - MARGINS["bottom"]) * INCH / min(1.0, scale)


def _height(page: Page, first: int, after: int) -> float:
    return sum(page.heights.get(row, ROW_HEIGHT) for row in range(first, after))
