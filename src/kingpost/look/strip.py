"""The strip that is laid beside a thing to measure it in a photo: two square tags, a check line, a page to print.

The tags are numbers 0 and 1 of the open set AprilTag 36h11. Two of them, because one square says little about places
away from itself. Sizes are mm on the paper; x runs to the right, y downward, from the middle of the strip.
"""

from __future__ import annotations

from dataclasses import dataclass

TAG_MM = 60.0  # side of the black square
APART_MM = 190.0  # from the middle of one tag to the middle of the other: what a Letter sheet holds, lying
QUIET_MM = 8.0  # white around a tag, without which it is not found
CHECK_MM = 100.0
PAPER_MM = {"letter": (279.4, 215.9), "a4": (297.0, 210.0)}
POINT_MM = 25.4 / 72.0  # a point of PDF
# Black squares of 0 and white ones of 1, row by row, the black rim with them; tests hold them against OpenCV.
TAGS = {
    0: ("00000000", "00010000", "00110100", "00001010", "00001100", "01011100", "01010110", "00000000"),
    1: ("00000000", "01001000", "01011010", "00001100", "00011110", "01110100", "00110110", "00000000"),
}
STEPS = (
    "Print at true size (100 %, not fitted to the page). Then lay a rule on the line above: it must measure 100 mm.",
    "If it does not, print again, or tell Kingpost what it measures: --check-line.",
    "Fasten the sheet to something stiff and flat. Bent paper measures wrong.",
    "Lay it in the plane of what is measured, close beside it: on the same wall, the same side of the same board.",
    "Take the picture from as nearly square as you can, both tags whole, sharp and out of glare.",
    "A thing that stands out of the strip's plane, or lies behind it, is not measured. No picture can show that.",
)


@dataclass(frozen=True, slots=True)
class Square:
    """A tag on the strip: its number, its middle and its side, mm."""

    tag: int
    x: float
    y: float
    side: float = TAG_MM

    def corners(self) -> tuple[tuple[float, float], ...]:
        """Upper left, upper right, lower right, lower left, as the tag is read."""
        h = self.side / 2
        return ((self.x - h, self.y - h), (self.x + h, self.y - h), (self.x + h, self.y + h), (self.x - h, self.y + h))


def squares() -> tuple[Square, ...]:
    """The tags of the strip.

    >>> [s.corners()[0] for s in squares()]
    [(-125.0, -30.0), (65.0, -30.0)]
    """
    return (Square(0, -APART_MM / 2, 0.0), Square(1, APART_MM / 2, 0.0))


def pdf(paper: str = "letter") -> bytes:
    """The strip as a PDF of one lying page, "letter" or "a4", drawn as vectors at true size."""
    width, height = PAPER_MM[paper]
    return _file(_page(width, height), width, height)


def _page(width: float, height: float) -> str:
    """What is drawn, in mm from the lower left corner, then scaled to points."""
    middle, line = width / 2, height - QUIET_MM - TAG_MM / 2 - 4.0
    out = [f"{1 / POINT_MM:.6f} 0 0 {1 / POINT_MM:.6f} 0 0 cm", "0 g"]
    for square in squares():
        out += _tag(square, middle, line)
    out += _check_line(middle, line)
    y = line - TAG_MM / 2 - QUIET_MM - 12.0
    out.append(_text(_left(width), y, 5.0, "Kingpost measuring strip", bold=True))
    for number, step in enumerate(STEPS, 1):
        y -= 8.0
        out.append(_text(_left(width), y, 3.9, f"{number}.  {step}"))
    y -= 12.0
    out.append(_text(_left(width), y, 3.4, _about()))
    return "\n".join(out)


def _about() -> str:
    return f"Tags 0 and 1 of AprilTag 36h11, {TAG_MM:.0f} mm, {APART_MM:.0f} mm from middle to middle."


def _left(width: float) -> float:
    return width / 2 - APART_MM / 2 - TAG_MM / 2


def _tag(square: Square, middle: float, line: float) -> list[str]:
    """Black as runs of cells in one path, so that no hair line shows between them."""
    rows = TAGS[square.tag]
    cell, left, top = square.side / len(rows), middle + square.x - square.side / 2, line + square.side / 2
    out = []
    for r, row in enumerate(rows):
        c = 0
        while c < len(row):
            run = len(row[c:]) - len(row[c:].lstrip("0"))
            if run:
                out.append(f"{left + c * cell:.3f} {top - (r + 1) * cell:.3f} {run * cell:.3f} {cell:.3f} re")
            c += max(run, 1)
    return [*out, "f"]


def _check_line(middle: float, line: float) -> list[str]:
    half = CHECK_MM / 2
    y = line
    out = ["0.2 w", f"{middle - half:.3f} {y:.3f} m {middle + half:.3f} {y:.3f} l S"]
    for mm in range(0, int(CHECK_MM) + 1, 5):
        tick = 4.0 if mm % 50 == 0 else 2.5 if mm % 10 == 0 else 1.5
        out.append(f"{middle - half + mm:.3f} {y:.3f} m {middle - half + mm:.3f} {y + tick:.3f} l S")
    out.append(_text(middle - 15.0, y - 6.0, 3.4, "check: 100 mm exactly"))
    return out


def _text(x: float, y: float, size: float, words: str, bold: bool = False) -> str:
    safe = words.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
    return f"BT /{'B' if bold else 'R'} {size:.2f} Tf {x:.3f} {y:.3f} Td ({safe}) Tj ET"


def _file(drawn: str, width: float, height: float) -> bytes:
    """A PDF of one page. ViewerPreferences ask the print dialogue not to scale (ISO 32000-1:2008, table 150)."""
    box = f"0 0 {width / POINT_MM:.3f} {height / POINT_MM:.3f}"
    fonts = "/R << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> "
    fonts += "/B << /Type /Font /Subtype /Type1 /BaseFont /Helvetica-Bold >>"
    parts = [
        "<< /Type /Catalog /Pages 2 0 R /Lang (en) /ViewerPreferences << /PrintScaling /None >> >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [{box}] /Contents 4 0 R /Resources << /Font << {fonts} >> >> >>",
        f"<< /Length {len(drawn)} >>\nstream\n{drawn}\nendstream",
        "<< /Title (Kingpost measuring strip) >>",
    ]
    out, at = "%PDF-1.4\n", []
    for number, part in enumerate(parts, 1):
        at.append(len(out))
        out += f"{number} 0 obj\n{part}\nendobj\n"
    rows = "".join(f"{place:010d} 00000 n \n" for place in at)
    end = f"trailer\n<< /Size {len(parts) + 1} /Root 1 0 R /Info 5 0 R >>\nstartxref\n{len(out)}\n%%EOF\n"
    return f"{out}xref\n0 {len(parts) + 1}\n0000000000 65535 f \n{rows}{end}".encode("ascii")
