"""Linear and whole-number programmes, solved by HiGHS; the only module that knows it."""

import time
from collections.abc import Sequence
from itertools import accumulate, chain
from typing import Any, NamedTuple

__all__ = ["Answer", "Programme", "Undecided", "in_time"]

FEASIBLE = 2  # what HiGHS calls kSolutionStatusFeasible


class Answer(NamedTuple):
    """Values of the columns, None if none were found; `bound`, under which no values cost.

    And whether values are possible at all, whether the nodes were enough to finish, and how many it took.
    """

    values: list[float] | None
    bound: float
    possible: bool
    finished: bool
    nodes: int


class Undecided(Exception):  # noqa: N818  (it says what the answer is)
    """The time ran out, or HiGHS gave up."""


def in_time(until: float) -> None:
    """Give up once the monotonic clock is past `until`."""
    if time.monotonic() > until:
        raise Undecided


class Programme:
    """Find columns of least cost so that each row lies within its ends.

    HiGHS keeps the number of its threads for each thread that calls it, and refuses another number there.
    So whoever solves does so in a thread of its own, and spoils no one else's use of HiGHS.
    """

    def __init__(self, rows: Sequence[tuple[float, float]], until: float) -> None:
        import highspy

        library: Any = highspy  # its own types are partly unknown
        # the plain class: what is built on it prints its name before it can be told not to
        self._highs: Any = library._Highs()
        self._library = library
        self._until = until
        for name, value in {
            "output_flag": False,  # first, before a word is printed
            "threads": 1,
            "random_seed": 0,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": 0.0,
            "mip_heuristic_run_feasibility_jump": False,  # these two only take time: good plans are known
            "mip_heuristic_run_root_reduced_cost": False,
        }.items():
            self._highs.setOptionValue(name, value)
        lower, upper = zip(*rows, strict=True) if rows else ((), ())
        self._highs.addRows(len(rows), lower, upper, 0, [], [], [])
        self._new: list[tuple[float, float, list[int], list[float], bool]] = []

    def add(
        self,
        cost: float,
        rows: list[int],
        values: list[float],
        upper: float = float("inf"),
        *,
        whole: bool = False,
    ) -> None:
        """Add a column."""
        self._new.append((cost, upper, rows, values, whole))

    def _flush(self) -> None:
        """Hand over the new columns, all at once."""
        if not self._new:
            return
        first = self._highs.getNumCol()
        costs, uppers, rows, values, whole = zip(*self._new, strict=True)
        starts = [0, *accumulate(map(len, rows))]
        self._highs.addCols(
            len(costs),
            costs,
            [0.0] * len(costs),
            uppers,
            starts.pop(),
            starts,
            [*chain(*rows)],
            [*chain(*values)],
        )
        if wholes := [first + at for at, each in enumerate(whole) if each]:
            kind = self._library.HighsVarType.kInteger
            self._highs.changeColsIntegrality(len(wholes), wholes, [kind] * len(wholes))
        self._new.clear()

    def _run(self) -> Any:
        # the limit is on the time of all runs together
        in_time(self._until)
        self._flush()
        until = self._highs.getRunTime() + max(self._until - time.monotonic(), 0.01)
        self._highs.setOptionValue("time_limit", until)
        error = self._library.HighsStatus.kError
        if self._highs.run() == error:
            self._highs.clearSolver()  # where the last basis leads astray, none at all does not
            if self._highs.run() == error:
                raise Undecided  # numbers too far apart, and no plan is better than a wrong one
        status = self._highs.getModelStatus()
        if status == self._library.HighsModelStatus.kTimeLimit:
            raise Undecided
        in_time(self._until)
        return status

    def relaxed(self) -> tuple[float, list[float], list[float]]:
        """Solve without whole numbers: the cost, the values, and the price of each row."""
        self._run()
        solution = self._highs.getSolution()
        return self._highs.getInfo().objective_function_value, solution.col_value, solution.row_dual

    def whole(self, nodes: int) -> Answer:
        """Solve in whole numbers, in at most so many nodes."""
        self._highs.setOptionValue("mip_max_nodes", nodes)
        status, statuses = self._run(), self._library.HighsModelStatus
        info = self._highs.getInfo()
        found = info.primal_solution_status == FEASIBLE
        return Answer(
            self._highs.getSolution().col_value if found else None,
            info.mip_dual_bound,
            possible=status != statuses.kInfeasible,
            finished=status in (statuses.kInfeasible, statuses.kOptimal),
            nodes=max(1, info.mip_node_count),  # the first may be solved before it is counted
        )
