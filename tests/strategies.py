"""Hypothesis strategies in workshop ranges. Lengths come in 1/16 in steps, which floats hold exactly."""

from typing import Any

from hypothesis import strategies as st


def lengths(shortest: float, longest: float) -> st.SearchStrategy[float]:
    return st.integers(round(shortest * 16), round(longest * 16)).map(lambda sixteenths: sixteenths / 16)


faces = st.sampled_from([3, 3.125, 5, 5.125, 6.75, 6.875, 8.875]) | lengths(2, 12)
gaps = lengths(0, 1.5)
readings = lengths(24, 600)  # one tape reading: 2 to 50 ft
LAYOUTS = ["auto", "full", "balanced"]
TAPERS = ["last", "gap", "split"]


@st.composite
def ceilings(draw: st.DrawFn, layouts: list[str] = LAYOUTS, tapers: list[str] = TAPERS) -> dict[str, Any]:
    """Arguments of a layout, all of them: readings within one face of each other and wider than the gaps.

    Narrow ceilings, whole faces and readings that vary by a whole face come up often: rules meet there.
    """
    face, gap, finish_gap = draw(faces), draw(gaps), draw(gaps)
    narrowest = (
        gap + finish_gap + draw(lengths(0.25, 120) | st.integers(1, 30).map(lambda courses: courses * face))
    )
    spread = draw(st.just(0.0) | lengths(0, 0.5) | lengths(0, face))
    others = st.just(0.0) | st.just(spread) | lengths(0, spread)
    return {
        "across": [narrowest + more for more in draw(st.lists(others, min_size=1, max_size=5))],
        "face": face,
        "gap": gap,
        "finish_gap": finish_gap,
        "layout": draw(st.sampled_from(layouts)),
        "least": draw(st.just(face / 2) | lengths(0, face)),
        "take_up": draw(st.sampled_from([0, 1 / 64, 0.25]) | lengths(0, face / 2 - 1 / 16)),
        "taper": draw(st.sampled_from(tapers)),
    }
