"""One problem, several answers: cost, bound and lists come from one solve and share its arguments."""

import inspect
from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
Solved = TypeVar("Solved")
Answer = TypeVar("Answer")


def answering(solve: Callable[P, Solved]) -> Callable[[Callable[..., Answer]], Callable[P, Answer]]:
    """Give a function that answers from what `solve` found the arguments of `solve`.

    Keyword-only arguments of its own, such as `shown`, stay its own.

    Examples
    --------
    >>> def cut(length: float, pieces: int = 2) -> list[float]:
    ...     return [length / pieces] * pieces
    >>> @answering(cut)
    ... def longest(pieces: list[float], *, scale: float = 1) -> float:
    ...     return max(pieces) * scale
    >>> longest(9, pieces=3), longest(8, scale=10)
    (3.0, 40.0)
    """
    asked = inspect.signature(solve).parameters

    def wrap(answer: Callable[..., Answer]) -> Callable[P, Answer]:
        found = inspect.signature(answer)
        own = [each for each in found.parameters.values() if each.kind is each.KEYWORD_ONLY]
        names = {each.name for each in own}

        @wraps(answer)
        def function(*args: P.args, **kwargs: P.kwargs) -> Answer:
            mine: dict[str, Any] = {name: kwargs.pop(name) for name in names & kwargs.keys()}
            return answer(solve(*args, **kwargs), **mine)

        function.__signature__ = found.replace(parameters=[*asked.values(), *own])  # type: ignore[attr-defined]
        return function

    return wrap
