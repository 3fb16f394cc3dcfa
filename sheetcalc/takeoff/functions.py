"""Functions: every cell function with its arguments and a worked example, from the registry."""

from sheetcalc.cells.help import formula
from sheetcalc.cells.registry import REGISTRY
from sheetcalc.workbooks.declare import Item, Row, Sheet, Table, Text
from sheetcalc.workbooks.systems import both


def sheet() -> Sheet:
    """Build the reference sheet.

    Returns
    -------
    Sheet
        One row a function.
    """
    return Sheet(
        title="Functions",
        holds="The cell functions of this workbook. They work in any cell, here and in workbooks of your own.",
        blocks=(
            Text(
                (
                    both(
                        'Arguments in brackets may be left out. A last argument "metric" makes every bare number of the call and its answer metric.',
                        'Arguments in brackets may be left out. A last argument "metric", as in every call here, makes bare numbers and answers metric; the examples go without it, in inches.',
                    ),
                    'ENTRY_PROBLEM("NAME", arguments) says in one sentence why a call shows an error.',
                )
            ),
            Table(
                handle="functions",
                title="Cell functions",
                rows=tuple(
                    Row(
                        function.name.lower(),
                        function.name,
                        {
                            "function_use": function.signature,
                            "function_summary": function.summary,
                            "function_example": formula(function, function.example).removeprefix("="),
                        },
                    )
                    for function in REGISTRY.values()
                ),
                columns=(
                    Item(handle="function_use", label="Use", formula='=""', width=56),
                    Item(handle="function_summary", label="Answer", formula='=""', width=56),
                    Item(handle="function_example", label="Example", formula='=""', width=44),
                ),
            ),
        ),
        columns=4,
        landscape=True,
    )
