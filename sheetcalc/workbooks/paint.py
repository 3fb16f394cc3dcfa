"""Pages of lines and words, written as SVG or as PDF.

One list of strokes serves both, so that they show the same. Places are points (1/72 in) from the upper left
corner of the page. SVG 1.1 (W3C, 2011); PDF 1.4 (ISO 32000-1), Helvetica in the encoding WinAnsi: letters
that it lacks come out as question marks.
"""

import html
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sheetcalc.xlsx.cells import in_xml

FACE = "Arial, Helvetica, sans-serif"
INK = "1F2A30"
CURVE = 0.5523  # how far the handles of a quarter circle stand out, from memory

# Advance of each letter from the space to the tilde in thousandths of the size: Helvetica's own, from memory.
_WIDTHS = [
    *(278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278),
    *(556,) * 10,
    *(278, 278, 584, 584, 584, 556, 1015),
    *(667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611),
    *(722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333),
    *(556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278),
    *(556, 500, 722, 500, 500, 500, 334, 260, 334, 584),
]

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Path:
    """Straight lines from place to place; a filled one is closed."""

    places: Sequence[Place]
    width: float = 0.5
    dash: tuple[float, ...] = ()
    fill: str = ""
    ink: str = INK


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle."""

    centre: Place
    radius: float
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text, its foot at a place."""

    place: Place
    text: str
    size: float = 8.0
    bold: bool = False
    side: Literal["start", "middle", "end"] = "start"


Stroke = Path | Ring | Words


@dataclass(frozen=True, slots=True)
class Page:
    """What stands on one page; `title` and `says` are for whoever hears it."""

    wide: float
    high: float
    title: str
    says: str
    strokes: Sequence[Stroke]


def text_width(text: str, size: float) -> float:
    """Width of a line of text, in points."""
    return sum(_WIDTHS[ord(c) - 32] if 32 <= ord(c) < 127 else 556 for c in text) * size / 1000


# --- SVG ---


def _escape(text: str) -> str:
    """Write text as XML allows it."""
    return html.escape(in_xml(text))


def svg(pages: Sequence[Page]) -> bytes:
    """Write pages one below the other as one drawing."""
    wide, high = max(page.wide for page in pages), sum(page.high for page in pages)
    title, says = "; ".join(page.title for page in pages), " ".join(page.says for page in pages)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide / 72:g}in" height="{high / 72:g}in" '
        f'viewBox="0 0 {wide:g} {high:g}" role="img" aria-labelledby="title desc">',
        f'<title id="title">{_escape(title)}</title>',
        f'<desc id="desc">{_escape(says)}</desc>',
        f'<rect width="{wide:g}" height="{high:g}" fill="#FFFFFF"/>',
    ]
    top = 0.0
    for page in pages:
        lines.append(
            f'<g transform="translate(0 {top:g})" fill="none" stroke-linejoin="round" font-family="{FACE}">'
        )
        lines += map(_svg, page.strokes)
        lines.append("</g>")
        top += page.high
    return "\n".join([*lines, "</svg>", ""]).encode()


def _svg(stroke: Stroke) -> str:
    match stroke:
        case Path():
            places = " ".join(f"{x:.2f},{y:.2f}" for x, y in stroke.places)
            dash = (
                f' stroke-dasharray="{" ".join(f"{part:g}" for part in stroke.dash)}"' if stroke.dash else ""
            )
            if stroke.fill:
                return f'<polygon points="{places}" fill="#{stroke.fill}"/>'
            return (
                f'<polyline points="{places}" stroke="#{stroke.ink}" stroke-width="{stroke.width:g}"{dash}/>'
            )
        case Ring():
            x, y = stroke.centre
            return (
                f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{stroke.radius:.2f}" stroke="#{INK}" '
                f'stroke-width="{stroke.width:g}"/>'
            )
        case _:
            x, y = stroke.place
            bold = ' font-weight="bold"' if stroke.bold else ""
            return (
                f'<text x="{x:.2f}" y="{y:.2f}" font-size="{stroke.size:g}" fill="#{INK}" '
                f'text-anchor="{stroke.side}"{bold}>{_escape(stroke.text)}</text>'
            )


# --- PDF ---


def pdf(pages: Sequence[Page]) -> bytes:
    """Write pages as a document."""
    fonts = "/Font << /F1 3 0 R /F2 4 0 R >>"
    kids = " ".join(f"{5 + 2 * number} 0 R" for number in range(len(pages)))
    title = _pdf_text("; ".join(page.title for page in pages))
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R /Lang (en) >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(pages)} >>".encode(),
        *(
            f"<< /Type /Font /Subtype /Type1 /BaseFont /{name} /Encoding /WinAnsiEncoding >>".encode()
            for name in ("Helvetica", "Helvetica-Bold")
        ),
    ]
    for page in pages:
        content = b"\n".join(_pdf(stroke, page.high) for stroke in page.strokes)
        packed = zlib.compress(b"1 J 1 j\n" + content, 6)
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {page.wide:g} {page.high:g}] "
            f"/Resources << {fonts} >> /Contents {len(objects) + 2} 0 R >>".encode()
        )
        objects.append(
            f"<< /Length {len(packed)} /Filter /FlateDecode >>\nstream\n".encode() + packed + b"\nendstream"
        )
    objects.append(b"<< /Title (" + title + b") /Creator (sheetcalc) >>")
    out = bytearray(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
    starts: list[int] = []
    for number, body in enumerate(objects, 1):
        starts.append(len(out))
        out += f"{number} 0 obj\n".encode() + body + b"\nendobj\n"
    table = "".join(f"{start:010d} 00000 n \n" for start in starts)
    out += (
        f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}trailer\n"
        f"<< /Size {len(objects) + 1} /Root 1 0 R /Info {len(objects)} 0 R >>\n"
        f"startxref\n{len(out)}\n%%EOF\n"
    ).encode()
    return bytes(out)


def _pdf(stroke: Stroke, high: float) -> bytes:
    match stroke:
        case Path():
            moves = [
                f"{x:.2f} {high - y:.2f} {'l' if number else 'm'}"
                for number, (x, y) in enumerate(stroke.places)
            ]
            if stroke.fill:
                return f"{_colour(stroke.fill)} rg {' '.join(moves)} f".encode()
            dash = " ".join(f"{part:g}" for part in stroke.dash)
            return f"{_colour(stroke.ink)} RG {stroke.width:g} w [{dash}] 0 d {' '.join(moves)} S".encode()
        case Ring():
            (x, y), r = stroke.centre, stroke.radius
            y, k = high - y, stroke.radius * CURVE
            quarters = (
                ((x + r, y + k), (x + k, y + r), (x, y + r)),
                ((x - k, y + r), (x - r, y + k), (x - r, y)),
                ((x - r, y - k), (x - k, y - r), (x, y - r)),
                ((x + k, y - r), (x + r, y - k), (x + r, y)),
            )
            curves = " ".join(" ".join(f"{a:.2f} {b:.2f}" for a, b in quarter) + " c" for quarter in quarters)
            return f"{_colour(INK)} RG {stroke.width:g} w [] 0 d {x + r:.2f} {y:.2f} m {curves} s".encode()
        case _:
            x, y = stroke.place
            share = {"start": 0.0, "middle": 0.5, "end": 1.0}[stroke.side]
            x -= share * text_width(stroke.text, stroke.size)
            font = "F2" if stroke.bold else "F1"
            head = f"BT {_colour(INK)} rg /{font} {stroke.size:g} Tf {x:.2f} {high - y:.2f} Td ("
            return head.encode() + _pdf_text(stroke.text) + b") Tj ET"


def _pdf_text(text: str) -> bytes:
    """Write text between brackets."""
    data = " ".join(text.split()).encode("cp1252", errors="replace")
    return data.replace(b"\\", b"\\\\").replace(b"(", b"\\(").replace(b")", b"\\)")


def _colour(code: str) -> str:
    return " ".join(f"{int(code[at : at + 2], 16) / 255:.3f}" for at in (0, 2, 4))
