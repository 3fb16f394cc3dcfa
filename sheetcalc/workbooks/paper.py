"""Where a printed page ends, so that no block loses its head."""

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
    room = min(_room(page, paper) for paper in (LETTER, A4))
    found: list[int] = []
    used = 0.0
    for (first, kept), after in zip(
        page.blocks, [*(first for first, _ in page.blocks[1:]), page.row], strict=True
    ):
        height = _height(page, first, after)
        least = height if height <= room else _height(page, first, kept)
        if used and used + least > room:
            found.append(first - 1)
            used = 0.0
        used = (used + height) % room
    return found


def _height(page: Page, first: int, after: int) -> float:
    return sum(page.heights.get(row, ROW_HEIGHT) for row in range(first, after))


def _room(page: Page, paper: tuple[float, float]) -> float:
    across, down = reversed(paper) if page.sheet.landscape else paper
    width = (across - MARGINS["left"] - MARGINS["right"]) * INCH
    height = (down - MARGINS["top"] - MARGINS["bottom"]) * INCH
    scale = min(
        1.0, width / (CHARACTER * sum(page.width(column) for column in range(1, page.last_column + 1)))
    )
    return SURE * height / scale
