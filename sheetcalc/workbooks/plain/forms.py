"""The table of forms: for every cell function the native formula that answers it, or STORED.

A form is written in us units over the function's own argument names. ``{name}`` stands for an argument or an
earlier step; ``{across.min}`` and so on for what readings come to: min, max, mean, count, their range.
Steps stand in columns of their own where a formula in one piece would be too long to read. Only functions
that spreadsheet programs have had since 2007 are used. ``1E-9`` in the forms is the tolerance of
`sheetcalc.compare`: a float's dust adds no course and no board.

Where a native formula differs from the function
    TRUE and FALSE are no numbers; lengths typed as text are not read; of several faults another error may be
    shown; absurdly large numbers (over 1e12) are not refused; a table shows an error in the row at fault
    alone; the boards of past jobs are not asked to be whole; ENTRY_PROBLEM names the function alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

REFUSE_NUMBER = "EXP(999)"
"""Shows #NUM! in every program; the root of -1 does not."""
SHOWN = "SHOWN_LENGTH("
"""Words a length in a form, in the units of the call."""
REFUSE_TEXT = 'FIND(1,"")'
"""Shows #VALUE! in every program; a text that is no number does not."""


@dataclass(frozen=True, slots=True)
class Form:
    """How native formulas answer one function.

    Parameters
    ----------
    answer : str
        The formula of the answer; "" for a table.
    steps : mapping
        Formulas that it builds on, in their order.
    above, at_least, whole, share : str
        Names of what must be over 0, 0 or more, a whole number of 0 or more, 0 to under 1.
    rules : tuple of str
        What else must be true, or the answer is #NUM!.
    defaults : mapping
        What counts for arguments not given whose default follows from others.
    on : str
        Function whose row of helper cells for the same arguments this one reads.
    each : mapping
        Formulas of one row of a table, by column; ``{n}`` is the row's number, ``{reading}`` its reading,
        ``{before.name}`` that column in the row before.
    arguments : tuple of str
        Its arguments where no cell function has that name.
    """

    answer: str = ""
    steps: Mapping[str, str] = field(default_factory=dict[str, str])
    above: str = ""
    at_least: str = ""
    whole: str = ""
    share: str = ""
    rules: tuple[str, ...] = ()
    defaults: Mapping[str, str] = field(default_factory=dict[str, str])
    on: str = ""
    each: Mapping[str, str] = field(default_factory=dict[str, str])
    arguments: tuple[str, ...] = ()


class Stored:
    """Mark of a function that no native formula answers: its last values are kept."""


STORED: Final = Stored()


def up(number: str) -> str:
    """Round a number of 0 or more up, save for a float's dust.

    Examples
    --------
    >>> up("B4")
    'ROUNDUP(MAX(0,B4-1E-9*MAX(1,B4)),0)'
    """
    return f"ROUNDUP(MAX(0,{number}-1E-9*MAX(1,{number})),0)"


def number_in(text: str, otherwise: str = REFUSE_TEXT) -> str:
    """Read a number from text; what VALUE shows for other text is an error of its own in one program."""
    return f"IF(ISERROR(VALUE({text})),{otherwise},VALUE({text}))"


def _table(column: str, name: str, table: str) -> str:
    return f"INDEX([{table}.{column}],MATCH({name},[{table}.name],0))"


def _side(column: str, place: int) -> str:
    """Look a side of a board up, or read it where the size states it."""
    stated = number_in(f"TRIM(MID({{stated}},{1 + 40 * place},40))", "NA()")
    return f'IF({{stated}}="",{_table(column, "{name}", "sizes")},{stated}/25.4)'


_SIZE = {
    "name": 'SUBSTITUTE(SUBSTITUTE(LOWER({nominal})," ",""),"×","x")',
    "stated": 'IF(RIGHT({name},2)="mm",SUBSTITUTE(LEFT({name},LEN({name})-2),"x",REPT(" ",40)),"")',
    "sides": 'LEN({name})-LEN(SUBSTITUTE({name},"x",""))+1',
    "thickness": _side("thickness", 0),
    "overall": _side("overall", 1),
    "face": _side("face", 2),
}
_SIZE_RULE = 'IF({stated}="",TRUE,AND({sides}=3,{thickness}>0,{face}>0,{face}<={overall}))'
_LETTERS = 'SUBSTITUTE(SUBSTITUTE(SUBSTITUTE(SUBSTITUTE({species}," ",""),"-",""),",",""),".","")'
_PERCENT = "OR(ABS({%})<=1E-9,{%}>=1-1E-9)"


def _percents(*names: str) -> tuple[str, ...]:
    return tuple(_PERCENT.replace("%", name) for name in names)


_COEFFICIENT = ("{coefficient}>=-1E-9", "{coefficient}<=0.01+1E-9")


def _growth(width: str, later: str) -> str:
    return f"{width}*{{coefficient}}*(MIN(30,{{{later}}})-MIN(30,{{moisture_now}}))"


_FAR_GAP = "{along.%}-{gap}-{cut_length}"
_ZERO = "IF(ABS({gap_left})<=1E-9,0,{gap_left})"
_BEARINGS = {"spaces": "{along.max}/{spacing}", "bearings": up("{spaces}") + "+1"}

_FRACTION_STEPS = {
    "parts": "INT(ABS({length})*{denominator}+0.5+1E-9)",
    "inches": "INT({parts}/{denominator})",
    "rest": "{parts}-{inches}*{denominator}",
    "part": 'IF({rest}=0,"",{rest}/GCD({rest},{denominator})&"/"&{denominator}/GCD({rest},{denominator}))',
    "sign": 'IF(AND({length}<0,{parts}>0),"-","")',
}
_DENOMINATORS = "ISNUMBER(MATCH({denominator},{1,2,4,8,16,32,64},0))"

_MILLIMETRE_STEPS = {"counted": "INT(ABS({length})*25.4*{parts}+0.5+1E-9)"}
_MILLIMETRE_PARTS = "OR({parts}=1,{parts}=2,{parts}=10)"

_CEILING = {
    "narrow": "{across.min}-{gap}-{finish_gap}",
    "wide": "{across.max}-{gap}-{finish_gap}",
    "middle": "{across.mean}-{gap}-{finish_gap}",
    "counted_wide": 'IF({taper}="gap",{narrow},{wide})',
    "counted_mean": 'IF({taper}="gap",{narrow},{middle})',
    "near": "MAX(1," + up("({counted_mean}/{face}-0.5)") + ")",
    "off_narrow": "{narrow}-{near}*{face}",
    "off_wide": "{counted_wide}-{near}*{face}",
    "half_off": "({counted_mean}-{near}*{face})/2",
    "whole_faces": "IF(AND(MAX(ABS({off_narrow}),ABS({off_wide}))<={take_up}+1E-9*MAX(1,{face}),"
    "{half_off}>=-{gap}/2-1E-9*MAX(1,{gap}),{off_narrow}-{half_off}>=-{finish_gap}/2-1E-9*MAX(1,{finish_gap})),1,0)",
    "needed": "({counted_wide}-{take_up})/{face}",
    "courses": "IF({whole_faces}=1,{near},MAX(1," + up("{needed}") + "))",
    "most": "{courses}*{face}",
    "covered_narrow": "IF({whole_faces}=1,{most},MIN({narrow},{most}))",
    "covered_wide": "IF({whole_faces}=1,{most},MIN({counted_wide},{most}))",
    "reading_of_most": "{most}+{gap}+{finish_gap}",
    "over_most": 'IF({counted_wide}<={most},0,SUMIF({across.range},">"&{reading_of_most}{across.times})'
    "{across.over}"
    '-{reading_of_most}*COUNTIF({across.range},">"&{reading_of_most}{across.times}))',
    "covered_mean": "IF({whole_faces}=1,{most},MIN({most},{counted_mean}-{over_most}/{across.count}))",
    "both_narrow": "{covered_narrow}-({courses}-2)*{face}",
    "both_wide": "{covered_wide}-({courses}-2)*{face}",
    "both_mean": "{covered_mean}-({courses}-2)*{face}",
    "taper_share": 'IF({taper}="split",0.5,0)',
    "last_if_full": "{both_narrow}-{face}+{taper_share}*({both_wide}-{both_narrow})",
    "starts_full": 'IF({layout}="full",1,IF({layout}="balanced",0,'
    "IF({last_if_full}<{least}-1E-9*MAX(1,{least}),0,1)))",
    "balance_narrow": 'IF({taper}="split",{both_wide},{both_narrow})',
    "balance_mean": 'IF({taper}="split",{both_wide},{both_mean})',
    "lowest": "MAX({least},{both_wide}-{face})",
    "highest": "{balance_narrow}-{least}",
    "balanced": "IF({lowest}>{highest}+1E-9*MAX(1,{lowest}),MAX({balance_narrow}/2,{both_wide}-{face}),"
    "MIN(MAX({balance_mean}/2,{lowest}),{highest}))",
    "first_wide": "IF({courses}=1,{covered_wide},IF({starts_full}=1,{face},{balanced}))",
    "first_narrow": "IF({courses}=1,{covered_narrow},{first_wide}-{taper_share}*({both_wide}-{both_narrow}))",
    "first": "IF({courses}=1,{covered_mean},{first_wide}-{taper_share}*({both_wide}-{both_mean}))",
    "last_wide": "IF({courses}=1,{covered_wide},{both_wide}-{first_wide})",
    "last_narrow": "IF({courses}=1,{covered_narrow},{both_narrow}-{first_narrow})",
    "last": "IF({courses}=1,{covered_mean},{both_mean}-{first})",
    "shift": "IF({whole_faces}=1,{half_off},0)",
    "start_gap": "{gap}+{shift}",
    "finish_narrow": "{finish_gap}+{narrow}-{covered_narrow}-{shift}",
    "finish_wide": "{finish_gap}+{wide}-{covered_wide}-{shift}",
    "finish_mean": "{finish_gap}+{middle}-{covered_mean}-{shift}",
}
_CEILING_DEFAULTS = {"finish_gap": "{gap}", "least": "{face}/2"}
_CEILING_RULES = (
    "{least}<={face}+1E-9*MAX(1,{face})",
    "{take_up}<={face}/2+1E-9*MAX(1,{face})",
    "{across.max}-{across.min}<={face}+1E-9*MAX(1,{face})",
    "{narrow}>1E-9",
    "{wide}<=10000*{face}",
    'OR({layout}<>"full",{courses}=1,{last_if_full}>=-1E-9)',
)

_NOTE = {
    "first_least": "SHOWN_LENGTH({first_narrow})",
    "first_most": "SHOWN_LENGTH({first_wide})",
    "last_least": "SHOWN_LENGTH({last_narrow})",
    "last_most": "SHOWN_LENGTH({last_wide})",
    "first_words": 'IF({first_least}={first_most},{first_least},{first_least}&" to "&{first_most})',
    "last_words": 'IF({last_least}={last_most},{last_least},{last_least}&" to "&{last_most})',
    "first_full": "IF(MAX(ABS({first_narrow}-{face}),ABS({first_wide}-{face}))<=1E-9*MAX(1,{face}),1,0)",
    "last_full": "IF(MAX(ABS({last_narrow}-{face}),ABS({last_wide}-{face}))<=1E-9*MAX(1,{face}),1,0)",
    "gap_asked": "SHOWN_LENGTH({gap})",
    "finish_asked": "SHOWN_LENGTH({finish_gap})",
    "gap_left": "SHOWN_LENGTH({start_gap})",
    "finish_taken": 'IF({taper}="gap",{finish_gap}+{shift},{finish_mean})',
    "finish_left": "SHOWN_LENGTH({finish_taken})",
    "gaps": 'IF(AND({gap_left}={gap_asked},{finish_left}={finish_asked}),"",'
    '", gaps "&{gap_left}&IF({gap_left}={finish_left},""," and "&{finish_left}))',
    "edges": 'IF({first_full}=1,"first full, last "&{last_words},IF(ABS({first}-{last})<=1E-9*MAX(1,{first}),'
    '"balanced "&{first_words}&IF({first_words}={last_words},"",", last "&{last_words}),'
    '"first "&{first_words}&", last "&{last_words}))',
    "layout_words": 'IF({first_full}*{last_full}=1,"full boards"&{gaps},'
    'IF({courses}=1,"one course "&{first_words},{edges}))',
    "finish_least": "SHOWN_LENGTH({finish_narrow})",
    "finish_most": "SHOWN_LENGTH({finish_wide})",
    "finish_words": 'IF(AND({taper}="gap",{finish_least}<>{finish_most}),'
    '", finish gap "&{finish_least}&" to "&{finish_most},"")',
    "least_words": "SHOWN_LENGTH({least})",
    "narrowest": "MIN({first_narrow},{first_wide},{last_narrow},{last_wide})",
    "warning": 'IF({narrowest}<{least}-1E-9*MAX(1,{least}),"; warning: narrower than "&{least_words},"")',
}

_CROSSED = {
    "edge_near": "{position}-{size}/2",
    "edge_far": "{position}+{size}/2",
    "slack": "1E-9*MAX(1,{edge_far})",
    "first_edge": "{start_gap}+{first}",
    "end": "IF({courses}=1,{first_edge},{first_edge}+({courses}-2)*{face}+{last})",
    "from": "IF({edge_near}<{first_edge}-{slack},1,"
    "MIN({courses},2+INT(({edge_near}+{slack}-{first_edge})/{face})))",
    "faces_to": "({edge_far}-{slack}-{first_edge})/{face}",
    "to": "IF({edge_far}<={first_edge}+{slack},1,MIN({courses},1+" + up("{faces_to}") + "))",
}

_SHORT = "BINOMDIST({good_boards}-1,{good_boards}+{%}+$-1,1-{cull_rate},TRUE)>1-{confidence}+1E-9"


def _spares() -> dict[str, str]:
    steps = {"spares": "0"}
    before = "spares"
    for step in (2**power for power in range(11, -1, -1)):
        short = _SHORT.replace("%", before).replace("$", str(step))
        steps[f"spares_{step}"] = f"{{{before}}}+IF({short},{step},0)"
        before = f"spares_{step}"
    return steps


_SIDE = {
    "plain": 'TRIM(SUBSTITUTE({side},"-"," "))',
    "space": 'IF(ISNUMBER(FIND(" ",{plain})),FIND(" ",{plain}),0)',
    "fraction": "MID({plain},{space}+1,99)",
    "bar": 'IF(ISNUMBER(FIND("/",{fraction})),FIND("/",{fraction}),0)',
    "whole_part": f"IF({{space}}=0,0,{number_in('LEFT({plain},{space}-1)')})",
    "over": "IF({bar}=0,{fraction},LEFT({fraction},{bar}-1))",
    "under": 'IF({bar}=0,"1",MID({fraction},{bar}+1,99))',
    "rest": f"{number_in('{over}')}/{number_in('{under}')}",
}

FORMS: Mapping[str, Form | Stored] = MappingProxyType(
    {
        # --- Lengths ---
        "READ_LENGTH": Form("{entry}", rules=("ABS({entry})<={longest}+1E-6",)),
        "FEET_INCHES": Form(
            '{sign}&{feet}&"\'-"&({inches}-12*{feet})&IF({part}="",""," ")&{part}&""""',
            steps={**_FRACTION_STEPS, "feet": "INT({inches}/12)"},
            rules=(_DENOMINATORS,),
        ),
        "INCH_FRACTION": Form(
            '{sign}&IF({part}="",{inches},IF({inches}=0,"",{inches}&" ")&{part})',
            steps=_FRACTION_STEPS,
            rules=(_DENOMINATORS,),
        ),
        "MILLIMETRE_WORDS": Form(
            'IF(AND({length}<0,{counted}>0),"-","")&{counted}/{parts}',
            steps=_MILLIMETRE_STEPS,
            rules=(_MILLIMETRE_PARTS,),
        ),
        "MILLIMETRES_SHOWN": Form("MILLIMETRE_WORDS({length})", arguments=("length",)),
        "METRE_WORDS": Form(
            'IF(AND({length}<0,{counted}>0),"-","")&{counted}/(1000*{parts})&" m"',
            steps=_MILLIMETRE_STEPS,
            rules=(_MILLIMETRE_PARTS,),
        ),
        # --- Readings ---
        "OUT_OF_PARALLEL": Form("{across.max}-{across.min}"),
        "OUT_OF_SQUARE": Form(
            "({diagonal_1}-{diagonal_2})*({diagonal_1}+{diagonal_2})/(4*{along.mean})",
            above="diagonal_1 diagonal_2",
            rules=(
                "{along.mean}>ABS({diagonal_1}-{diagonal_2})/2+1E-9*MAX(1,{along.mean})",
                "{along.mean}<({diagonal_1}+{diagonal_2})/2-1E-9*MAX(1,{along.mean})",
            ),
        ),
        "SLOPE_LENGTH": Form("{run}*SQRT({rise}^2+{per}^2)/{per}", above="run per", at_least="rise"),
        "CEILING_AREA": Form("{across.mean}*{along.mean}/144"),
        # --- Boards ---
        "FACE_WIDTH": Form("{face}", steps=_SIZE, rules=(_SIZE_RULE,)),
        "OVERALL_WIDTH": Form("{overall}", steps=_SIZE, rules=(_SIZE_RULE,)),
        "BOARD_THICKNESS": Form("{thickness}", steps=_SIZE, rules=(_SIZE_RULE,)),
        "COURSE_PITCH": Form(
            "{run_length}/{boards}+{joint_space}",
            above="run_length",
            whole="boards",
            at_least="joint_space",
            rules=("{boards}>=1-1E-9",),
        ),
        "BOARD_COVERAGE": Form("{face}*{length}*{count}/144", above="face length", whole="count"),
        "RUNNING_LENGTH": Form("{area}*12/{face}*(1+{waste})", at_least="area", above="face", share="waste"),
        "NUMBER_IN_TEXT": Form("{whole_part}+{rest}", steps=_SIDE, arguments=("side",)),
        "BOARD_FEET": Form(
            "MAX({thickness},1)*{width}*{length}*{count}/144",
            steps={
                "size": 'SUBSTITUTE(LOWER({nominal}),"×","x")',
                "cross": 'FIND("x",{size})',
                "thickness_text": "LEFT({size},{cross}-1)",
                "width_text": "MID({size},{cross}+1,99)",
                "thickness": "NUMBER_IN_TEXT({thickness_text})",
                "width": "NUMBER_IN_TEXT({width_text})",
            },
            above="length",
            whole="count",
            rules=("AND({thickness}>0,{thickness}<=24)", "AND({width}>0,{width}<=24)"),
        ),
        "BOARD_PRICE": Form(
            'IF({per}="board",{price},IF({per}="foot",{price}*{length}/12,IF({per}="metre",{price}*{length}*0.0254,'
            '{price}*{board_feet}/IF({per}="board foot",1,1000))))',
            steps={"board_feet": "BOARD_FEET({nominal},{length})"},
            at_least="price",
            above="length",
        ),
        "BOARD_WEIGHT": Form(
            "{thickness}*{width}*{length}/1728*{density}*{count}",
            above="thickness width length density",
            whole="count",
        ),
        # --- Moisture ---
        "EQUILIBRIUM_MOISTURE": Form(
            "1800/{w}*({kh}/(1-{kh})+({kk}+2*{kkk})/(1+{kk}+{kkk}))",
            steps={
                "celsius": "({temperature}-32)/1.8",
                "w": "349+1.29*{celsius}+0.0135*{celsius}^2",
                "kh": "(0.805+0.000736*{celsius}-0.00000273*{celsius}^2)*{humidity}/100",
                "kk": "(6.27-0.00938*{celsius}-0.000303*{celsius}^2)*{kh}",
                "kkk": "{kk}*(1.91+0.0407*{celsius}-0.000293*{celsius}^2)*{kh}",
            },
            at_least="humidity",
            rules=(
                "{celsius}>=-20-1E-8",
                "{celsius}<=100+1E-7",
                "{humidity}<=100+1E-7",
                *_percents("humidity"),
            ),
        ),
        "MOVEMENT_COEFFICIENT": Form(
            f'IF({{grain}}="flat",{_table("flat", "{letters}", "woods")},'
            f"{_table('quarter', '{letters}', 'woods')})",
            steps={"letters": _LETTERS},
        ),
        "BOARD_MOVEMENT": Form(
            _growth("{width}", "moisture_later"),
            above="width",
            at_least="moisture_now moisture_later",
            rules=(*_COEFFICIENT, *_percents("moisture_now", "moisture_later")),
        ),
        "GAP_NEEDED": Form(
            "MAX(0," + _growth("{across.max}", "moisture_later") + "/2)",
            at_least="moisture_now moisture_later",
            rules=(*_COEFFICIENT, *_percents("moisture_now", "moisture_later")),
        ),
        "JOINT_SPACE": Form(
            "MAX(0," + _growth("{face}", "moisture_wettest") + ")",
            above="face",
            at_least="moisture_now moisture_wettest",
            rules=(*_COEFFICIENT, *_percents("moisture_now", "moisture_wettest")),
        ),
        "READINGS_NEEDED": Form(
            f"IF({{area}}<=1E-9,0,MAX({up('{taken}')},ROUND({{at_least}},0)))",
            steps={"taken": "{area}*{per_1000}/1000"},
            at_least="area per_1000",
            whole="at_least",
        ),
        "READY_TO_HANG": Form(
            "IF(4*{wet}>{taken},{too_wet},IF({missed}=1,{off_target},"
            'IF({wet}=0,"ready","ready, set aside "&{wet})))',
            steps={
                "taken": "COUNT({readings})",
                "dry_below": "{limit}-1E-9*MAX(1,{limit})",
                "dry": 'COUNTIF({readings},"<"&{dry_below})',
                "wet": "{taken}-{dry}",
                "mean": 'IF({dry}=0,0,SUMIF({readings},"<"&{dry_below})/{dry})',
                "missed": 'IF({target}="",0,'
                "IF(ABS({mean}-{target})>{tolerance}+1E-9*MAX(1,{tolerance}),1,0))",
                "shown": "INT({mean}*10+0.5+1E-9)/10",
                "near": 'IF({target}="",0,IF(ABS({shown}-{target})>{tolerance}+1E-9*MAX(1,{tolerance}),0,1))',
                "too_wet": '"wait: "&{wet}&" of "&{taken}&" at "&INT({limit}*10+0.5+1E-9)/10&" or more"',
                "said": "{shown}+IF({near}=1,SIGN({mean}-{target})/10,0)",
                "off_target": 'IF({missed}=1,"wait: mean "&{said}&", target "&INT({target}*10+0.5+1E-9)/10'
                '&" within "&INT({tolerance}*10+0.5+1E-9)/10,"")',
            },
            at_least="limit tolerance",
            rules=(
                *_percents("limit"),
                'IF({target}="",TRUE,IF(N({target})<0,FALSE,OR(N({target})=0,N({target})>=1)))',
                "MIN({readings})>=0",
                'COUNTIFS({readings},">0",{readings},"<1")=0',
            ),
        ),
        # --- Courses ---
        "COURSE_COUNT": Form(
            "{courses}",
            steps=_CEILING,
            above="face",
            at_least="gap finish_gap least take_up",
            rules=_CEILING_RULES,
            defaults=_CEILING_DEFAULTS,
        ),
        "RIP_WIDTH": Form('IF({edge}="first",{first},{last})', on="COURSE_COUNT"),
        "COURSE_NOTE": Form("{layout_words}&{finish_words}&{warning}", steps=_NOTE, on="COURSE_COUNT"),
        "COURSES_CROSSED": Form(
            'IF(OR({from}>{to},{edge_near}>={end}-{slack},{edge_far}<={start_gap}+{slack}),"none",'
            'IF({from}={to},{from}&"",{from}&"-"&{to}))',
            steps=_CROSSED,
            above="size",
            rules=("{edge_near}>=-1E-9", "{edge_far}<={across.mean}+{slack}"),
            on="COURSE_COUNT",
        ),
        "COURSE_ENDS": Form(
            each={
                "reading": "{reading}",
                "covered": "IF({whole_faces}=1,{most},MIN({most},"
                'IF({taper}="gap",{narrow},{reading}-{gap}-{finish_gap})))',
                "first": 'IF({reading}="","",IF({courses}=1,{covered},'
                "{first_wide}-{taper_share}*({covered_wide}-{covered})))",
                "last": 'IF({reading}="","",IF({courses}=1,{covered},'
                "{covered}-({courses}-2)*{face}-{first}))",
                "finish_gap": 'IF({reading}="","",{reading}-{gap}-{covered}-{shift})',
            },
            on="COURSE_COUNT",
        ),
        "COURSE_MARKS": Form(
            each={
                "course": "IF({courses}<{n},{pad},{n})",
                "width": "IF({courses}<{n},{pad},IF({n}=1,{first},IF({n}={courses},{last},{face})))",
                "far_edge": "IF({courses}<{n},{pad},{start_gap}+{first}+IF({n}=1,0,({n}-2)*{face}+{width}))",
            },
            on="COURSE_COUNT",
        ),
        "LAYOUT_TABLE": Form(
            each={
                "courses": "COURSE_COUNT",
                "first": 'RIP_WIDTH "first"',
                "last": 'RIP_WIDTH "last"',
                "cut_length": "CUT_LENGTH",
            },
        ),
        "VISIBLE_WIDTH": Form(
            "MIN(MAX({width}+{gap}-{trim_cover},0),{width})", at_least="width gap trim_cover"
        ),
        "FENCE_SETTING": Form('{width}+IF({edge}="first",{tongue},0)', at_least="width tongue"),
        "OPEN_PER_COURSE": Form(
            "({remaining}-{finish_gap}-{last_wanted}-({courses_left}-1)*{face})/{courses_left}",
            above="remaining courses_left face",
            whole="courses_left",
            at_least="last_wanted finish_gap",
            rules=("{last_wanted}<={face}+1E-9*MAX(1,{face})",),
        ),
        # --- Shapes ---
        **dict.fromkeys(
            ("SHAPE_AREA", "SHAPE_PERIMETER", "SHAPE_SIZE", "SHAPE_WALLS", "COURSE_PIECES"), STORED
        ),
        # --- Cutting ---
        "CUT_LENGTH": Form(
            "{length}",
            steps={
                "wanted": "{along.mean}-{gap}-{finish_gap}",
                "longest": "{along.min}-{gap}-{least_gap}",
                "shortest": 'IF({most_gap}="",0,{along.max}-{gap}-{most_gap})',
                "length": 'MIN({longest},IF({most_gap}="",{wanted},MAX({wanted},{shortest})))',
            },
            at_least="gap finish_gap least_gap",
            rules=(
                'IF({most_gap}="",TRUE,AND({most_gap}>1E-9,{most_gap}>{least_gap}+1E-9*MAX(1,{least_gap})))',
                'IF({most_gap}="",TRUE,{shortest}<={longest}+1E-9*MAX(1,{longest}))',
                "{length}>1E-9",
            ),
            defaults={"finish_gap": "{gap}", "least_gap": "{finish_gap}/2"},
        ),
        "CUT_BATCHES": Form(
            f"MAX(1,{up('{batches}')})",
            steps={"batches": "({along.max}-{along.min})/({most_gap}-{least_gap})"},
            at_least="least_gap",
            above="most_gap",
            rules=("{most_gap}>{least_gap}+1E-9*MAX(1,{least_gap})",),
        ),
        "SMALLEST_GAP": Form(
            _ZERO, steps={"gap_left": _FAR_GAP.replace("%", "min")}, above="cut_length", at_least="gap"
        ),
        "WIDEST_GAP": Form(
            _ZERO, steps={"gap_left": _FAR_GAP.replace("%", "max")}, above="cut_length", at_least="gap"
        ),
        "STOCK_LENGTH": Form(
            "IF({longer}=0,NA(),SMALL({stock},COUNT({stock})-{longer}+1){length.over})",
            steps={
                "shortest": "({cut_length}+{end_trim}-1E-9*MAX(1,{cut_length})){length.times}",
                "longer": 'COUNTIF({stock},">="&{shortest})',
            },
            above="cut_length",
            at_least="end_trim",
            rules=("MIN({stock})>1E-9",),
        ),
        **dict.fromkeys(
            ("BUY_LIST", "SAW_LIST", "STOP_LIST", "PIECE_LIST", "BUY_COST", "LOWEST_BUY_COST", "KERF_NOTE"),
            STORED,
        ),
        **dict.fromkeys(
            ("JOINT_PLAN", "JOINT_MARKS", "JOINT_PIECES", "JOINT_COUNT", "JOINT_COST", "LOWEST_JOINT_COST"),
            STORED,
        ),
        # --- Ordering ---
        "BOARDS_TO_ORDER": Form(
            "IF(OR({good_boards}=0,{cull_rate}=0),{good_boards},{good_boards}+{spares_1})",
            steps=_spares(),
            whole="good_boards",
            share="cull_rate confidence",
            above="confidence",
            rules=("IF(OR({good_boards}=0,{cull_rate}=0),TRUE,{spares_1}<4095)",),
        ),
        "CHANCE_SHORT": Form(
            "IF(OR({good_boards}=0,AND({cull_rate}=0,{ordered}>={good_boards})),0,IF(OR({ordered}<{good_boards},{cull_rate}=1),1,"
            "BINOMDIST({good_boards}-1,{ordered},1-{cull_rate},TRUE)))",
            whole="ordered good_boards",
            at_least="cull_rate",
            rules=("{cull_rate}<=1+1E-9",),
        ),
        "WHOLE_UNITS": Form(
            up("{units}"),
            steps={"units": "{quantity}/{unit_size}"},
            at_least="quantity",
            above="unit_size",
        ),
        **dict.fromkeys(("SPARE_LIST", "SPARES_SHORT"), STORED),
        "DRAWING_LINES": STORED,
        # --- Openings, coating, fastening, backing ---
        "OPENING_AREA": Form(
            'IF({shape}="round",PI()*{width}^2/576,IF({height}="",' + REFUSE_TEXT + ",{width}*{height}/144))",
            above="width",
            rules=(
                'IF({height}="",TRUE,{height}>1E-9)',
                'IF(OR({height}="",{shape}<>"round"),TRUE,ABS({height}-{width})<=1E-9*MAX(1,{width}))',
            ),
        ),
        "END_GRAIN_AREA": Form("{thickness}*{width}*{ends}/144", above="thickness width", whole="ends"),
        "CUT_EDGE_AREA": Form(
            "{thickness}*{length}*{count}/144", above="thickness", at_least="length", whole="count"
        ),
        "BOARD_SURFACE": Form(
            "2*({width}*{length}+{thickness}*{length}+{thickness}*{width})*{count}/144",
            above="thickness width length",
            whole="count",
        ),
        "SPREAD_RATE": Form(
            "231/0.144*{volume_solids}/{dry_film}",
            above="volume_solids dry_film",
            rules=("{volume_solids}<=1+1E-9",),
        ),
        "PRIMER_VOLUME": Form(
            "{area}*{coats}/({spread_rate}*(1-{loss}))",
            at_least="area",
            above="spread_rate",
            whole="coats",
            share="loss",
        ),
        "NAIL_COUNT": Form(
            "{bearings}*({per_bearing}*{courses}+MIN({face_courses},{courses}))+2*{joints}",
            steps=_BEARINGS,
            above="spacing",
            whole="courses per_bearing face_courses joints",
        ),
        "FACE_NAIL_COUNT": Form(
            "{bearings}*{face_courses}", steps=_BEARINGS, above="spacing", whole="face_courses"
        ),
        "NAIL_LENGTH": Form(
            "({depth_share}*{thickness}+{layers})/SIN(RADIANS({angle}))+{penetration}",
            above="thickness penetration",
            at_least="layers depth_share",
            rules=("{angle}>=1-1E-9", "{angle}<=90+1E-7", "{depth_share}<=1+1E-9"),
        ),
        "BEARING_COUNT": Form(
            up("{spaces}") + "+1",
            steps={"spaces": "({along.max}-{first})/{spacing}"},
            above="spacing",
            at_least="first",
            rules=("{first}<={along.max}+1E-9*MAX(1,{first})",),
        ),
        "SHEET_COUNT": Form(
            up("{sheets}"),
            steps={
                "rows_wide": "{across.max}/{sheet_width}",
                "rows_laid": up("{rows_wide}"),
                "sheets": "{rows_laid}*{along.max}/{sheet_length}",
            },
            above="sheet_width sheet_length",
        ),
        "BARRIER_ROLLS": Form(
            f"MAX(1,{up('{rolls}')})",
            steps={
                "strips_wide": "({across.max}-{lap})/({roll_width}-{lap})",
                "strips": f"MAX(1,{up('{strips_wide}')})",
                "rolls": "({strips}*{along.max}-{lap})/({roll_length}-{lap})",
            },
            above="roll_width roll_length",
            at_least="lap",
            rules=("MIN({roll_width},{roll_length})>{lap}+1E-9*MAX(1,{lap})",),
        ),
        "SEALANT_TUBES": Form(
            up("{tubes}"),
            steps={"tubes": "{length}*{width}*{depth}*128/231/({tube_volume}*(1-{loss}))"},
            at_least="length",
            above="width depth tube_volume",
            share="loss",
        ),
        # --- Time and price ---
        "CREW_DAYS": Form(
            up("{steps_worked}") + "*{step}",
            steps={"steps_worked": "{hours}/({crew}*{day})/{step}"},
            at_least="hours",
            whole="crew",
            above="crew day step",
            rules=("{day}<=24+1E-7",),
        ),
        "LOADED_RATE": Form(
            "{wage}*(1+{burden})/{billable}",
            at_least="wage burden",
            above="billable",
            rules=("{burden}<10-1E-8", "{billable}<=1+1E-9"),
        ),
        "RENTAL_COST": Form(
            "{months}*{month}+MIN({month},{weeks}*{week}+MIN({week},{rest}*{day_price}))",
            steps={
                "week": 'IF({week_price}="",7*{day_price},MIN({week_price},7*{day_price}))',
                "month": 'IF({month_price}="",4*{week},MIN({month_price},4*{week}))',
                "whole_days": up("{days}"),
                "months": "INT({whole_days}/28)",
                "weeks": "INT(({whole_days}-28*{months})/7)",
                "rest": "{whole_days}-28*{months}-7*{weeks}",
            },
            at_least="days day_price",
            rules=(
                'IF({week_price}="",TRUE,{week_price}>=-1E-9)',
                'IF({month_price}="",TRUE,{month_price}>=-1E-9)',
            ),
        ),
        "PRICE_FROM_MARKUP": Form("{cost}*(1+{markup})", at_least="cost markup", rules=("{markup}<10-1E-8",)),
        "PRICE_FROM_MARGIN": Form("{cost}/(1-{margin})", at_least="cost", share="margin"),
        "MARKUP_FROM_MARGIN": Form("{margin}/(1-{margin})", share="margin"),
        "MARGIN_FROM_MARKUP": Form("{markup}/(1+{markup})", at_least="markup", rules=("{markup}<10-1E-8",)),
        "ROUND_PRICE": Form(
            up("{steps_up}") + "*{step}",
            steps={"steps_up": "{price}/{step}"},
            at_least="price",
            above="step",
        ),
        "PAYMENT_SPLIT": Form(
            "COUNT({shares})",
            at_least="price",
            rules=("ABS(SUM({shares})-1)<=1E-9", "MIN({shares})>=-1E-9", "MAX({shares})<=1+1E-9"),
            each={
                "left": "IF({n}=1,INT({price}*100+0.5+1E-9)/100,"
                "ROUND(N({before.left})-N({before.amount}),2))",
                "amount": "IF({answer}<{n},{pad},IF({n}={answer},{left},"
                "MIN({left},INT({price}*INDEX({shares},{n})*100+0.5+1E-9)/100)))",
            },
        ),
        "AMOUNT_DUE": Form(
            "({bid}+{changes})*{share_done}*(1-{held_back})-{billed}",
            at_least="bid billed share_done",
            share="held_back",
            rules=("{share_done}<=1+1E-9",),
        ),
        "RATE_FROM_JOBS": Form(
            "SUM({hours})/SUM({quantities})",
            rules=(
                "SUM({quantities})>1E-9",
                "MIN({hours},{quantities})>=0",
                "SUMPRODUCT(--(ISNUMBER({hours})<>ISNUMBER({quantities})))=0",
            ),
        ),
        "CULL_FROM_JOBS": Form(
            "SUM({rejected})/SUM({delivered})",
            rules=(
                "SUM({delivered})>1E-9",
                "MIN({rejected},{delivered})>=0",
                "SUMPRODUCT(--(ISNUMBER({rejected})<>ISNUMBER({delivered})))=0",
                "SUMPRODUCT(--({rejected}>{delivered}))=0",
            ),
        ),
        # --- Help ---
        "ENTRY_PROBLEM": Form('IF(ISERROR({call}),"an entry of {name} is missing or outside its range","")'),
        "FUNCTION_VERSION": Form('"{version}"'),
        "FUNCTION_HELP": STORED,
    }
)
