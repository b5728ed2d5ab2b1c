"""Sheets of the report in numbers: pages, sizes, what the checkers find, and the reading grade of each sheet.

python -m bench.pages           the sample visit cut to 5, 15 and 50 findings, and whole
python -m bench.pages 15 50     only these cuts
python -m bench.pages --grade   the reading grade alone, sheet by sheet
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from kingpost.tell import write

from .cuts import SAMPLE, cut, whole

CUTS = (5, 15, 50, 999)


def line(count: int) -> str:
    """One cut, written and checked."""
    import pdfua
    import pikepdf

    record = cut(whole(), count)
    with tempfile.TemporaryDirectory() as temp:
        out, began = Path(temp), time.process_time()
        write(record, SAMPLE, out)
        seconds, pdf, page = time.process_time() - began, out / "report.pdf", out / "report.html"
        wrong = sum(f.severity.name == "ERROR" for f in pdfua.validate(str(pdf)).findings)
        with pikepdf.open(pdf) as opened:
            pages, syntax = len(opened.pages), len(opened.check_pdf_syntax())
        sizes = f"{pdf.stat().st_size / 1e6:.1f} | {page.stat().st_size / 1e6:.1f}"
    return f"| {len(record.findings)} | {pages} | {sizes} | {wrong} | {syntax} | {seconds:.0f} |"


def grades() -> list[str]:
    """The Flesch-Kincaid grade of what the tool itself writes, for each sheet of more than thirty words."""
    from tests.reading import grade
    from tests.tell.test_sheets import said_by_sheet

    told = {name: text for name, text in said_by_sheet().items() if len(text.split()) > 30}
    return [f"| {name} | {len(text.split())} | {grade(text):.1f} |" for name, text in told.items()]


def main() -> int:
    """Measures and prints."""
    asked = sys.argv[1:]
    if "--grade" not in asked:
        print("| findings | pages | PDF MB | HTML MB | pdfua errors | qpdf errors | processor s |")
        print("|---|---|---|---|---|---|---|")
        for count in [int(a) for a in asked] or CUTS:
            print(line(count), flush=True)
    if "--grade" in asked or not asked:
        print("| sheet | words | grade |\n|---|---|---|", *grades(), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
