"""Saw: for the person who cuts: stop block, boards cut alike, fence settings, offcuts worth keeping."""

from sheetcalc.kinds import COUNT
from sheetcalc.takeoff.layout import LONGEST
from sheetcalc.takeoff.papers import LEAD
from sheetcalc.workbooks.declare import WORDED, Item, Lines, Sheet, Table, Text
from sheetcalc.workbooks.systems import both

JOB = Lines(
    title="For the saw",
    items=(
        Item(handle="saw_job", label="Job", formula="={job}"),
        Item(handle="saw_place", label="Place", formula="={place}"),
        Item(
            handle="saw_takes",
            label="Counted for each cut, and for each board",
            formula='="saw cut "&INCH_FRACTION({kerf})&", squaring both ends "&INCH_FRACTION({end_trim})',
        ),
        Item(
            handle="saw_spares",
            label="Spare boards",
            formula='=IF({boards_total}>{boards_needed},({boards_total}-{boards_needed})&" more than the cuts below need, for culls and mistakes: see Spare boards","none: every board is cut")',
        ),
        Item(
            handle="saw_keeps",
            label="Offcuts to keep",
            formula='={offcuts}&", those of "&FEET_INCHES({offcut_least})&" and longer"',
        ),
    ),
)

SETTINGS = Table(
    handle="saw_settings",
    title="Stop block: longest first, every length set once",
    like="setting_list",
    columns=(
        Item(
            handle="setting_for",
            label="For",
            formula='={setting_names?}&{setting_joined?}&IF({setting_angled}>{saw_step},", angled","")',
            width=34,
        ),
        Item(
            handle="setting_at_stop",
            label="Set the stop to",
            formula="=INCH_FRACTION({setting_length},{setting_steps})",
            kind=WORDED,
            width=12,
        ),
        Item(
            handle="setting_read",
            label=both("The same in feet", "The same in metres"),
            formula="=FEET_INCHES({setting_length},{setting_steps})",
            width=14,
        ),
        Item(
            handle="setting_pieces",
            label="Pieces",
            kind=COUNT,
            formula="=INDEX({stop_pieces[]},{setting_at})",
            width=8,
        ),
        Item(
            handle="setting_boards",
            label="Out of how many boards",
            kind=COUNT,
            formula="=INDEX({stop_boards[]},{setting_at})",
            width=10,
        ),
        Item(
            handle="setting_board",
            label="Board",
            formula="=INDEX({nominal_used:?},{setting_plan})",
            width=both(8, 15),
        ),
    ),
)

ALIKE = Table(
    handle="saw_boards_alike",
    title="Board by board: all boards cut alike in one line",
    like="group_list",
    columns=(
        Item(
            handle="group_boards",
            label="Boards",
            kind=COUNT,
            formula="=INDEX({saw_boards[]},{group_at})",
            width=8,
        ),
        Item(
            handle="group_stock",
            label="Of length",
            formula="=FEET_INCHES(INDEX({saw_stock[]},{group_at}))",
            width=10,
        ),
        Item(
            handle="group_board",
            label="Board",
            formula="=INDEX({nominal_used:?},{group_plan})",
            width=both(8, 15),
        ),
        Item(
            handle="group_cut",
            label="Cut from each",
            formula="=INDEX({saw_cut[]},{group_at})",
            kind=WORDED,
            width=34,
        ),
        Item(
            handle="group_offcut",
            label="Offcut",
            formula="=INCH_FRACTION(INDEX({saw_offcut[]},{group_at}))",
            kind=WORDED,
            width=10,
        ),
        Item(
            handle="group_keep",
            label="Keep it?",
            formula='=IF(INDEX({saw_offcut[]},{group_at})<{dust},"none",IF(INDEX({saw_offcut[]},{group_at})<{offcut_least},"scrap","keep"))',
            width=8,
        ),
    ),
)

SPARES = Table(
    handle="saw_spare_boards",
    title="Spare boards: keep them whole until a cut goes wrong or a board is bad",
    like="yard_list",
    columns=(
        Item(
            handle="spare_pieces",
            label="Boards",
            kind=COUNT,
            formula='=IF({yard_spare}>0,{yard_spare},"")',
        ),
        Item(
            handle="spare_length",
            label="Of length",
            formula='=IF({yard_spare}>0,FEET_INCHES({yard_stock}),"")',
        ),
        Item(
            handle="spare_board",
            label="Board",
            formula='=IF({yard_spare}>0,INDEX({nominal_used:?},{yard_plan}),"")',
        ),
    ),
)

TRIM = Table(
    handle="saw_trim",
    title="Cover trim, where it is bought by length (Order): all lengths cut alike in one line",
    like="trim_list",
    columns=(
        Item(
            handle="trim_number_shown",
            label="Lengths",
            kind=COUNT,
            formula="=INDEX({trim_cut_boards[]},{trim_line})",
        ),
        Item(
            handle="trim_of_shown",
            label="Of length",
            formula="=FEET_INCHES(INDEX({trim_cut_of[]},{trim_line}))",
        ),
        Item(
            handle="trim_cut_shown",
            label="Cut from each",
            formula="=INDEX({trim_cut[]},{trim_line})",
            kind=WORDED,
        ),
        Item(
            handle="trim_offcut_shown",
            label="Offcut",
            formula="=INCH_FRACTION(INDEX({trim_offcut[]},{trim_line}))",
            kind=WORDED,
        ),
    ),
)

SAWING = Table(
    handle="sawing",
    title="Ripping the edge courses",
    like="ceilings",
    columns=(
        Item(handle="sawing_name", label="Ceiling", formula="={name_used}"),
        Item(
            handle="first_edge",
            label="First: rip off",
            formula='=IF({face_of}-MIN({here_first:})>{dust},IF({courses}=1,"both edges","groove edge"),"nothing")',
        ),
        Item(
            handle="last_edge",
            label="Last: rip off",
            formula='=IF({face_of}-MIN({here_last:})>{dust},IF({courses}=1,"both edges","tongue edge"),"nothing")',
        ),
        Item(
            handle="sawing_cut",
            label="Length to cover",
            formula='=IF({shaped}=1,"see Layout"&IF(INDEX({shape_angled[]},{shape_order?})=1,": angled ends",""),IF({batches}>1,"longest "&INCH_FRACTION({stock_for}),INCH_FRACTION({cut})))',
            kind=WORDED,
            width=16,
        ),
        Item(
            handle="batches_needed",
            label="Batches",
            kind=COUNT,
            formula="={batches}",
            note="Cut in this many lengths to keep the end gaps within the limits; all are bought for the longest.",
        ),
        Item(
            handle="first_fence",
            label="First: fence, or taper left / middle / right",
            formula='=IF({first_edge}="nothing","",IF({first_taper?}="",INCH_FRACTION({fence_first}),"taper "&{first_taper?}))',
            kind=WORDED,
            width=26,
        ),
        Item(
            handle="last_fence",
            label="Last: fence, or taper left / middle / right",
            formula='=IF({last_edge}="nothing","",IF({last_taper?}="",INCH_FRACTION({fence_last}),"taper "&{last_taper?}))',
            kind=WORDED,
            width=26,
        ),
    ),
)

SHEET = Sheet(
    title="Saw",
    holds="What to set and what to cut.",
    blocks=(
        JOB,
        SETTINGS,
        Text(
            (
                '=IF(COUNTIF({shape_angled[]},1)=0,"","angled: from long point to long point; some ends are cut at an angle, or notched. The stretches on Layout give each with its short points")',
            )
        ),
        ALIKE,
        SPARES,
        SAWING,
        Text((LONGEST,)),
        TRIM,
        Text(
            (
                *LEAD,
                "Fence: the first course keeps its tongue to the fence (width + tongue); the last keeps its groove (width).",
                "Taper: no fence makes one. Mark its width, tongue left out, at both ends, left and right seen from the start wall, and cut along the line with a taper sled or a guided saw, never freehand at the table saw.",
                "Push stick, eye and hearing protection; guard and riving knife in place. Unplug the saw before you change the blade.",
                "Collect the dust and wear a respirator. Prime every cut end and ripped edge before it goes up.",
                "Trial-cut and measure the first piece of every setting; the saw's manual decides.",
            ),
            "caution",
        ),
    ),
    columns=8,
    locked=True,
    paper=True,
)
