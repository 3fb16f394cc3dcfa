"""Published data: small CSV files, each read once, when it is first asked for.

The lines that begin with # at the head of a file name its source and say which rows were not read there.
"""

from functools import cache


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a table, each by its column names, as text.

    Examples
    --------
    >>> rows("tongue_and_groove")[1]["nominal"]
    '1x6'
    """
    import csv  # here, because reading a file takes longer to import than all the trade does
    from importlib.resources import files

    lines = files(__name__).joinpath(f"{table}.csv").read_text("utf-8").splitlines()
    return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))
