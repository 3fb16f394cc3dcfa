"""Ways: the job's own formulas over again, for every choice of board and for boards that run the other way.

Nothing is worked out here that the job does not work out, so no rule stands here twice. `_touched` finds which
formulas of the other sheets a board or a direction reaches, and they are taken over with other references:
those of a ceiling once for each way, those of the job side by side. The rest is read from the job as it is.

Turned boards run along what was measured across, so the two readings change places, as do the two places of a
corner and of a fixture; gaps, trim and layout stay as entered.
"""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Concatenate, ParamSpec

from sheetcalc.kinds import AREA, COUNT, LENGTH, MONEY, TEXT
from sheetcalc.takeoff import hours, order, plans, price, shapes, working
from sheetcalc.takeoff.boards import CHOICES
from sheetcalc.takeoff.layout import BLOCK
from sheetcalc.workbooks.declare import FLAG, Answer, Block, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import Both, both

_REFERENCE = re.compile(
    r"\{(?P<handle>[a-z][a-z0-9_]*)(?P<part>\.[a-z0-9_]+)?(?P<reach>:|\[\])?(?P<mark>[?!@])?\}"
)
_SUM = re.compile(r"SUM\(\{([a-z0-9_]+)\[\]\}\)")
P = ParamSpec("P")
BY_WAY = "_by_way"  # what stands side by side


@dataclass(frozen=True, slots=True)
class Way:
    """One choice of board, its boards as measured or turned."""

    number: int  # its cell among those side by side
    letter: str
    turned: bool

    @property
    def name(self) -> str:
        """Such as "A turned"."""
        return self.letter + self.turned * " turned"

    @property
    def end(self) -> str:
        """What the handles of this way end in."""
        return f"_{'turned' if self.turned else 'way'}_{self.letter.lower()}"

    @property
    def choice(self) -> str:
        """Its row among the choices of board."""
        return f"choice_{self.letter.lower()}"

    @property
    def board(self) -> int:
        """Its cell on the sheet Boards."""
        return CHOICES.index(self.letter) + 1


WAYS = tuple(
    Way(number, letter, turned)
    for number, (turned, letter) in enumerate(
        ((turned, letter) for turned in (False, True) for letter in CHOICES), 1
    )
)
HEADS = tuple(way.name for way in WAYS)


def by_way(handle: str, label: str, formula: str, **more: object) -> Item:
    """Declare a line with a cell for each way."""
    return Item(handle=handle, label=label, cells=len(WAYS), heads=HEADS, formula=formula, **more)  # type: ignore[arg-type]


def of_each(cells: Iterable[str]) -> str:
    """Take what stands elsewhere for each way; blank while a way is not worked out."""
    return f'=IF({{on{BY_WAY}}}=0,"",CHOOSE({{j}},{",".join(cells)}))'


# --- What the job says ---


def _sides(formula: str) -> tuple[str, ...]:
    return (formula.us, formula.metric) if isinstance(formula, Both) else (formula,)


@cache  # every walk asks for all of them anew
def _handles(formula: str) -> frozenset[str]:
    """Find what a formula reads: handles, and cells of named rows."""
    found = [one for side in _sides(formula) for one in _REFERENCE.finditer(side)]
    return frozenset(name for one in found for name in (one["handle"], one["handle"] + (one["part"] or "")))


def _both_sides(tell: Callable[Concatenate[str, P], str]) -> Callable[Concatenate[str, P], str]:
    """Let what tells a formula otherwise tell one that is stated for both unit systems."""

    def told(formula: str, *more: P.args, **named: P.kwargs) -> str:
        if isinstance(formula, Both):
            return both(tell(formula.us, *more, **named), tell(formula.metric, *more, **named))
        return tell(formula, *more, **named)

    return told


@_both_sides
def _told(formula: str, names: Mapping[str, str]) -> str:
    """Tell a formula with other references; a new one with a part or a reach keeps no other."""

    def other(found: re.Match[str]) -> str:
        whole = found["handle"] + (found["part"] or "")
        new = names.get(whole) or names.get(found["handle"])
        if new is None:
            return found[0]
        if new.isdecimal():
            return new
        kept = "" if whole in names and found["part"] else found["part"] or ""
        reach = "" if "." in new or "[" in new else kept + (found["reach"] or "")
        return "{" + new + reach + (found["mark"] or "") + "}"

    return _REFERENCE.sub(other, formula)


def _touched(items: Mapping[str, Item], start: Collection[str]) -> set[str]:
    """Find the items that what is told otherwise reaches."""
    found = set(start)
    while more := {one for one in items if one not in found and _handles(items[one].formula) & found}:
        found |= more
    return found - set(start)


def _needed(items: Mapping[str, Item], wanted: Collection[str]) -> set[str]:
    """Find the items that some of them need, themselves among them."""
    found = set(wanted)
    while more := {one for name in found & set(items) for one in _handles(items[name].formula)} - found:
        found |= more
    return found


def _of_rows(table: Table) -> Iterator[tuple[str, Item]]:
    """List the results of a table with named rows, cell by cell."""
    own = {column.handle for column in table.columns}
    for row in table.rows if isinstance(table.rows, tuple) else ():
        names = {handle: f"{handle}.{row.handle}" for handle in own}
        for column in table.columns:
            formula = row.cells.get(column.handle, column.formula)
            if isinstance(formula, str) and formula.startswith("=") and column.kind is not TEXT:
                label = f"{row.label}: {column.label.lower()}"
                name = names[column.handle]
                yield (
                    name,
                    replace(column, handle=name, label=label, formula=_told(formula, names), note=""),
                )


@_both_sides
def _summed(formula: str, cells: Mapping[str, Item]) -> str:
    """Name the rows in a sum over a table with named rows."""

    def named(found: re.Match[str]) -> str:
        rows = [name for name in cells if name.startswith(f"{found[1]}.")]
        return f"SUM({','.join(f'{{{name}?}}' for name in rows)})" if rows else found[0]

    return _SUM.sub(named, formula)


_ENDS = {f"{{here_{part}:}}": f"{{end_{part}}}" for part in ("first", "last", "gap")}  # where they come from


@_both_sides
def _at_its_ends(formula: str) -> str:
    for here, end in _ENDS.items():
        formula = formula.replace(here, end)
    return formula


LAID = ("courses", "first", "last", "cut_exact")  # one call answers them
CEILING = {
    item.handle: replace(item, formula=_at_its_ends(item.formula))
    for item in (*working.FIGURES.columns, *order.AMOUNTS.columns)
    if item.handle not in LAID
}
"""What is worked out of every ceiling."""

_OF_THE_BOARD = (
    "board_no",
    "face_of",
    "overall_of",
    "thickness_of",
    "least_used",
    "wide",
    "per_bearing_used",
)
BY_BOARD = (*LAID, *_OF_THE_BOARD, "end_first", "end_last", "end_gap", "keep_courses")
BY_RUN = ("across_used", "along_used", "first_bearing", "keep_from", "keep_to")
EITHER_WAY = {"area", "around"}  # across and along count alike

_BOARD = _touched(CEILING, BY_BOARD)
_RUN = _touched(CEILING, BY_RUN) - EITHER_WAY - _BOARD

_CELLS = dict(pair for table in (order.LINES, hours.TASKS) for pair in _of_rows(table))
_LINES = (order.TOTALS, order.SUM, hours.CREW, hours.SCAFFOLD, price.COST, price.PROFIT)
JOB = _CELLS | {
    item.handle: replace(item, formula=_summed(item.formula, _CELLS), note="", unit="")
    for lines in _LINES
    for item in lines.items
    if item.formula
}
"""What is worked out of the whole job."""

BOUGHT = ("boards_total", "boards_needed", "boards_cost", "joints_total", "plan_cover", "fixture_edge")
WANTED = ("price_before_tax", "tax", "cost", "hours_total", "waste", "order_buy.primer")
_PLANNED = {*BOUGHT, *_BOARD, *_RUN, *LAID}
_SAID = [one for one in JOB if one in _needed(JOB, WANTED) and one in _touched(JOB, _PLANNED)]
_SUMS = [
    one
    for one in dict.fromkeys(
        found for said in _SAID for side in _sides(JOB[said].formula) for found in _SUM.findall(side)
    )
    if one in {*_BOARD, *_RUN, *LAID}
]
_SEEN = ("first_seen", "last_seen")


# --- The same for one way ---


def _names(way: Way) -> dict[str, str]:
    """Say what stands for the job's handles in the formulas of one way."""
    end, number, row = way.end, way.board, way.choice
    names = {handle: handle + end for handle in (*_BOARD, *LAID, "end_first", "end_last", "end_gap")}
    names |= {"board_no": f"plan_no.{row}", "face_of": f"face.{number}", "fixture_face": f"face.{number}"}
    names |= {"overall_of": f"overall_used.{number}", "thickness_of": f"thickness_used.{number}"}
    names |= {"least_used": f"choice_least.{row}", "fixture_least": f"choice_least.{row}"}
    names |= {"wide": f"choice_wide.{row}", "per_bearing_used": f"choice_nails.{row}"}
    names |= {"courses_cut": f"courses_cut{end}", "keep_courses": f"keep_courses{end}"}
    names |= {handle: handle + end for handle in (*OF_SHAPES, *(item.handle for item in shapes.ROWS.columns))}
    names |= {"shape_face": f"face.{number}", "shape_least": f"choice_least.{row}"}
    names |= {"shape_board": f"plan_no.{row}"}
    return names | (TURNED if way.turned else {})


OF_SHAPES = ("run_count", "run_total", "run_longest", "run_ripped", "shape_jointed", "shape_joints")
"""What is worked out of every ceiling by its corners."""

TURNED = {
    "across_used": "along_used",
    "along_used": "across_used",
    "first_bearing": "0",  # nobody has measured framing for boards that run the other way
    "position_across": "turned_from_wall",
    "width": "turned_size",
    "corner_along": "corner_across",
    "corner_across": "corner_along",
    "shape_bearing": "0",
    **{handle: f"{handle}_turned" for handle in (*_RUN, "keep_half", "keep_from", "keep_to")},
}


def _laid(way: Way) -> Iterator[Block]:
    """Courses of every ceiling, and the edge courses at each reading."""
    names = _names(way)
    across, _, rest = BLOCK.partition(",")
    for handle, rows, formula, columns in (
        ("lay", 1, f"=LAYOUT_TABLE({across},{{along_used:}},{rest})", zip(LAID, working.LAYOUT.columns)),  # noqa: B905
        (
            "ends",
            3,
            working.ENDS_ANSWER.formula,
            ((item.handle, item) for item in working.ENDS_ANSWER.columns),
        ),
    ):
        yield Answer(
            handle=handle + way.end,
            title=f"{way.name}: {'courses' if rows == 1 else 'edge courses at each reading'}",
            rows=rows,
            like="ceilings",
            columns=tuple(replace(item, handle=name + way.end) for name, item in columns),
            formula=_once(way, _told(formula, names)),
        )


def _renamed(items: Iterable[Item], names: Mapping[str, str], end: str) -> tuple[Item, ...]:
    return tuple(
        replace(item, handle=item.handle + end, formula=_told(item.formula, names), note="", unit="")
        for item in items
    )


_WORKED = [CEILING[one] for one in CEILING if one in _needed(CEILING, {*_SUMS, *_SEEN, "stock_for"}) & _BOARD]
_FIXTURE = [item for item in working.FIXTURES.columns if item.handle in ("courses_cut", "keep_courses")]


def _ceilings(way: Way) -> Table:
    return Table(
        handle=f"figures{way.end}",
        title=f"{way.name}: every ceiling",
        like="ceilings",
        columns=_renamed(_WORKED, _names(way), way.end),
    )


def _fixtures(way: Way) -> Table:
    return Table(
        handle=f"fixtures{way.end}",
        title=f"{way.name}: fixtures that joints keep off",
        like="fixtures",
        columns=_renamed(_FIXTURE, _names(way), way.end),
    )


def _offer(way: Way) -> dict[str, str]:
    """Say what stands for the handles of the plans; a list of one way alone is read whole."""
    names = {one: f"{one}.{way.choice}" for one in ("offer_length", "offer_price", "offer_number")}
    names |= {one: f"{one}.{way.choice}" for one in ("plan_cull", "plan_face")}
    names |= {
        column: f"{column}{way.end}[]"
        for block in (plans.PIECE_ROWS, plans.BUY_ROWS, plans.SPARE_ROWS)
        for column in (item.handle for item in block.columns)
    }
    names |= {"cover_length": f"stock_for{way.end}[]", "cover_courses": f"runs{way.end}[]"}
    names |= {"cover_first": "turned_first[]" if way.turned else "first_bearing[]"}
    names |= {"cover_ceiling": "ceiling_at[]", "offer_needed": f"offer_needed{way.end}[]"}
    names |= {item.handle: item.handle + way.end for item in shapes.ROWS.columns}
    names |= {"spare_tight": f"spare_tight{way.end}", "keep_courses": f"keep_courses{way.end}"}
    return names | ({"keep_from": "keep_from_turned", "keep_to": "keep_to_turned"} if way.turned else {})


def _once(way: Way, formula: str) -> str:
    """Hold a formula back while its way is not worked out."""
    told = _told(formula.removeprefix("="), _offer(way))
    return f'=IF({{on{BY_WAY}.{way.number}}}=0,"",{told})'


def _shapes(way: Way) -> Table:
    """Figures of the ceilings by their corners."""
    known = {item.handle: item for item in shapes.FIGURES.columns}
    told = {"shape_jointed": f"=INDEX({{jointed{way.end}[]}},{{shape_no}})"}
    return Table(
        handle=f"shapes{way.end}",
        title=f"{way.name}: ceilings by their corners",
        like="shapes",
        columns=tuple(
            replace(
                known[handle],
                handle=handle + way.end,
                formula=_told(told.get(handle, known[handle].formula), _names(way)),
                note="",
            )
            for handle in OF_SHAPES
        ),
    )


def _stretches(way: Way) -> Answer:
    """Stretches of the courses of the ceilings by their corners."""
    return replace(
        shapes.ROWS,
        handle=shapes.ROWS.handle + way.end,
        title=f"{way.name}: {shapes.ROWS.title[0].lower()}{shapes.ROWS.title[1:]}",
        columns=tuple(replace(item, handle=item.handle + way.end) for item in shapes.ROWS.columns),
        formula=_once(way, _told(shapes.ROWS.formula, _names(way))),
    )


def _planned(way: Way) -> Iterator[Answer]:
    """Pieces, boards and spares."""
    for block in (plans.PIECE_ROWS, plans.BUY_ROWS, plans.SPARE_ROWS):
        yield replace(
            block,
            handle=block.handle + way.end,
            title=f"{way.name}: {block.title[0].lower()}{block.title[1:]}",
            like="",
            columns=tuple(replace(item, handle=item.handle + way.end) for item in block.columns),
            formula=_once(way, block.formula),
        )


def _plan_figures(way: Way) -> Lines:
    known = {item.handle: item for item in plans.FIGURES.columns}
    end = way.end
    first_wrong = f'IF({{layout_wrong{end}?}}="ok",IF({{piece_wrong{end}?}}="ok",{{buy_wrong{end}?}},{{piece_wrong{end}?}}),{{layout_wrong{end}?}})'
    return Lines(
        title=f"{way.name}: the plan",
        items=(
            *(
                replace(known[one], handle=one + end, formula=_once(way, known[one].formula), note="")
                for one in ("spare_tight", "plan_cover")
            ),
            *(
                Item(
                    handle=f"{what}_wrong{end}",
                    label=f"Problem, {what}",
                    formula=_once(way, f'IF(ISERROR(SUM({counted})),{said},"ok")'),
                )
                for what, counted, said in (
                    (
                        "layout",
                        f"{{courses{end}[]}},{{run_total{end}[]}}",
                        '"no layout: see its notes on Layout and Shapes with this board"',
                    ),
                    ("piece", "{piece_count}", '"no plan of end joints: see Order with this board"'),
                    ("buy", "{buy_boards}", f'ENTRY_PROBLEM("BUY_LIST",{plans.BUY})'),
                )
            ),
            Item(
                handle=f"said{end}", label="As the sheets say it", formula=f"={plans.as_shown(first_wrong)}"
            ),
        ),
    )


def _offers(way: Way) -> Table:
    priced = f'IF(N(INDEX({{stock_priced:?}},{{plan_no.{way.choice}}}))*{{on{BY_WAY}.{way.number}}}=0,"",'
    return Table(
        handle=f"offers{way.end}",
        title=f"{way.name}: boards of each stock length",
        like="stock",
        columns=tuple(
            Item(
                handle=handle + way.end,
                label=label,
                kind=COUNT,
                # SUMIFS finds no boards among errors, which would make them cost nothing
                formula=f"={priced}IF(ISERROR(SUM({{{boards}{way.end}[]}})),NA(),SUMIFS({{{boards}{way.end}[]}},{{{stock}{way.end}[]}},{{stock_used_length?}})))",
            )
            for handle, label, boards, stock in (
                ("offer_needed", "Needed", "buy_boards", "buy_stock"),
                ("offer_bought", "Bought", "spare_boards", "spare_stock"),
            )
        ),
    )


# --- What several ways share ---


def _item(items: Iterable[Item], handle: str) -> Item:
    return next(item for item in items if item.handle == handle)


SHARED = Table(
    handle="choice_figures",
    title="Of each choice of board",
    like="plans",
    columns=(
        replace(
            _item(working.CHOICES_USED.columns, "least_used"),
            handle="choice_least",
            formula=_told(
                _item(working.CHOICES_USED.columns, "least_used").formula, {"face_of": "plan_face"}
            ),
        ),
        Item(
            handle="choice_overall",
            label="Overall",
            kind=LENGTH,
            formula="=INDEX({overall_used:?},{plan_no})",
        ),
        replace(
            CEILING["wide"],
            handle="choice_wide",
            formula=_told(CEILING["wide"].formula, {"overall_of": "choice_overall"}),
        ),
        replace(
            CEILING["per_bearing_used"],
            handle="choice_nails",
            formula=_told(CEILING["per_bearing_used"].formula, {"wide": "choice_wide"}),
        ),
    ),
)

TURNED_CEILINGS = Table(
    handle="figures_turned",
    title="Of every ceiling with its boards turned",
    like="ceilings",
    columns=(
        Item(handle="ceiling_at", label="Ceiling", kind=COUNT, formula='=IF({ceilings_filled}=1,{n},"")'),
        Item(
            handle="turned_first",
            label="First framing",
            kind=LENGTH,
            formula='=IF({ceilings_filled}=1,0,"")',
        ),
        *_renamed(
            (CEILING[one] for one in CEILING if one in _RUN & _needed(CEILING, {*_SUMS, "stock_for"})),
            TURNED,
            "_turned",
        ),
    ),
)

_KEEP = {item.handle: item for item in working.FIXTURES.columns}
_ACROSS = TURNED | {"position_along": "position_across"}

TURNED_FIXTURES = Table(
    handle="fixtures_turned",
    title="Of every fixture with the boards turned",
    like="fixtures",
    columns=(
        Item(
            handle="turned_from_wall",
            label="From start wall",
            kind=LENGTH,
            formula="=READ_LENGTH({position_along})",
        ),
        Item(
            handle="turned_size",
            label="Size across",
            kind=LENGTH,
            formula='=IF({shape}="round",READ_LENGTH({width}),READ_LENGTH({height?}))',
        ),
        Item(
            handle="keep_half_turned",
            label="Keep off by",
            kind=LENGTH,
            formula="=READ_LENGTH({width})/2+{joint_clear}",
        ),
        *(
            replace(
                _KEEP[handle],
                handle=f"{handle}_turned",
                # one whose place is not wholly known keeps no joint off
                formula=f'=IF({{turned_from_wall?}}="","",{_told(_KEEP[handle].formula[1:], _ACROSS)})',
            )
            for handle in ("keep_from", "keep_to")
        ),
    ),
)


# --- All ways side by side ---

CONDITIONS = Lines(
    title="Which ways are worked out",
    items=(
        by_way(
            f"choice{BY_WAY}",
            "Choice",
            f"=CHOOSE({{j}},{','.join(f'{{plan_no.{way.choice}}}' for way in WAYS)})",
            kind=COUNT,
        ),
        by_way(
            f"on{BY_WAY}",
            "Worked out",
            f"=N(AND(N({{ceilings_in_use?}})>0,COUNT(INDEX({{stock_cost[]}},0,{{choice{BY_WAY}}}))>0))",
            kind=FLAG,
        ),
        by_way(
            f"off{BY_WAY}",
            "If not, why",
            f'=IF({{on{BY_WAY}}}+(N({{ceilings_in_use?}})=0)>0,"",IF(CHOOSE({{j}},{",".join(f"{{nominal_used.{way.board}?}}" for way in WAYS)})="","not on Boards","no price on Boards"))',
        ),
        Item(handle="rims", label="Cut edges around fixtures", kind=LENGTH, formula="=SUM({fixture_rim[]})"),
    ),
)


def _sum_of(handle: str, way: Way) -> str:
    own = way.end if handle in {*_BOARD, *LAID} else "_turned" if way.turned else ""
    return f"SUM({{{handle}{own}[]}})"


_LABELS = {**CEILING, **{name: item for name, item in zip(LAID, working.LAYOUT.columns, strict=True)}}
_SUM_LINES = tuple(
    by_way(
        f"sum_{handle}{BY_WAY}",
        f"{_LABELS[handle].label}, all ceilings",
        of_each(_sum_of(handle, way) for way in WAYS),
        kind=_LABELS[handle].kind,
    )
    for handle in _SUMS
)
_BOUGHT_LINES = tuple(
    by_way(
        f"{handle}{BY_WAY}",
        label,
        of_each(formula.replace("*", way.end).replace("#", str(way.board)) for way in WAYS),
        kind=kind,
    )
    for handle, label, kind, formula in (
        ("boards_total", "Boards to buy", COUNT, "SUM({spare_boards*[]})"),
        ("boards_needed", "Boards to cut", COUNT, "SUM({spare_needed*[]})"),
        ("boards_cost", "Cost of the boards", MONEY, "SUM({spare_cost*[]})"),
        ("joints_total", "End joints", COUNT, "SUM({joints*[]})"),
        ("plan_cover", "Boards bought cover", AREA, "{plan_cover*?}"),
        ("fixture_edge", "Edges around fixtures", AREA, "CUT_EDGE_AREA({thickness_used.#?},{rims})"),
    )
)
_JOB_NAMES = {one: one.replace(".", "_") + BY_WAY for one in (*_SAID, *BOUGHT)}
_ONCE = {"plan_cover", "fixture_edge", *_SUMS}  # sums that each way already has


@_both_sides
def _with_sums(formula: str) -> str:
    """Take the sums that each way already has."""

    def own(found: re.Match[str]) -> str:
        if found[1] not in _ONCE:
            return found[0]
        return f"{{{_JOB_NAMES.get(found[1], f'sum_{found[1]}{BY_WAY}')}}}"

    return _SUM.sub(own, formula)


def _side_by_side(item: Item) -> Item:
    formula = _told(_with_sums(item.formula), _JOB_NAMES)
    return by_way(_JOB_NAMES[item.handle], item.label, formula, kind=item.kind, per=item.per)


TOTALS = Lines(
    title="The job in each way",
    items=(*_BOUGHT_LINES, *_SUM_LINES, *(_side_by_side(JOB[one]) for one in _SAID)),
)


def sheet(*more: Lines) -> Sheet:
    """Build the sheet of all ways, with further lines on them."""
    return Sheet(
        title="Ways",
        holds="The job worked out for each choice of board, as measured and turned. Compare shows what comes of it.",
        blocks=(
            Text(("All ceilings with one board; the formulas are those of the job. Nothing is typed here.",)),
            CONDITIONS,
            SHARED,
            TURNED_CEILINGS,
            TURNED_FIXTURES,
            *(
                block
                for way in WAYS
                for block in (_plan_figures(way), _offers(way), _ceilings(way), _shapes(way), _fixtures(way))
            ),
            TOTALS,
            *more,
            *(block for way in WAYS for block in (*_laid(way), _stretches(way), *_planned(way))),
        ),
        landscape=True,
        columns=13,
    )
