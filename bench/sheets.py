"""The report with so many pictures, beside the bare PDF engine on a page of the same pictures.

python -m bench.sheets            15, 50 and 120 pictures, each in an interpreter of its own
python -m bench.sheets 15 120     only these
"""

from __future__ import annotations

import random
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from .__main__ import spent

COUNTS = (15, 50, 120)
SIDE = (2400, 1800)  # px of a picture, about 4 MP with the grain of a real one
REPORT = """
import sys
from pathlib import Path
from bench.sheets import record
from kingpost.tell import write
from tests.tell.invented_house import trade
here = Path(sys.argv[2])
write(record(int(sys.argv[1])), here, here / "out", trade=trade())
"""
BARE = """
import sys
from pathlib import Path
import weasyprint
here = Path(sys.argv[2])
shots = "".join(f'<p><img src="{p.as_uri()}" style="width:46mm"></p>' for p in sorted((here / "photos").iterdir()))
weasyprint.HTML(string=shots).write_pdf(here / "bare.pdf", dpi=240, jpeg_quality=74, optimize_images=True)
"""


def record(count: int):  # type: ignore[no-untyped-def]  # a Record; tests are no package for mypy here
    """A record of so many findings, each with a picture of its own."""
    from tests.tell.invented_house import house

    made = house(count)
    shots = tuple(
        replace(made.photos[0], id=f"p{n}", file=f"photos/p{n:03d}.jpg", seconds=60.0 * n, taken=None)
        for n in range(count)
    )
    found = tuple(
        replace(f, evidence=(f.evidence[0], {"photo": s.id})) for f, s in zip(made.findings, shots, strict=True)
    )
    return replace(made, findings=found, photos=shots)


def pictures(folder: Path, count: int) -> None:
    """So many JPEGs: tone and grain, so that they do not shrink to nothing."""
    from PIL import Image

    chance = random.Random(5)
    (folder / "photos").mkdir()
    grain = Image.frombytes("L", (600, 450), chance.randbytes(600 * 450)).resize(SIDE)
    for n in range(count):
        tone = Image.linear_gradient("L").rotate(37 * n).resize(SIDE)
        Image.merge("RGB", (tone, Image.blend(tone, grain, 0.4), grain)).save(
            folder / "photos" / f"p{n:03d}.jpg", quality=88
        )


def main() -> int:
    """Measures and prints."""
    counts = [int(a) for a in sys.argv[1:]] or COUNTS
    print("| what | pictures | seconds | processor s | peak MB | PDF MB | pages |\n|---|---|---|---|---|---|---|")
    for count in counts:
        with tempfile.TemporaryDirectory() as temp:
            here = Path(temp)
            pictures(here, count)
            for what, code, made in (("report", REPORT, "out/report.pdf"), ("bare engine", BARE, "bare.pdf")):
                clock, processor, peak = spent(sys.executable, "-c", code, str(count), temp)
                used = f"{clock:.1f} | {processor:.1f} | {peak:,.0f}"
                print(f"| {what} | {count} | {used} | {_size(here / made)} |", flush=True)
    return 0


def _size(path: Path) -> str:
    import pikepdf

    with pikepdf.open(path) as opened:
        return f"{path.stat().st_size / 1e6:.1f} | {len(opened.pages)}"


if __name__ == "__main__":
    sys.exit(main())
