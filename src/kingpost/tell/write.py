"""The front door: one record to record.json, report.html and report.pdf."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from kingpost.trade.load import trade as our_trade
from kingpost.trade.model import Trade
from kingpost.visit.record import Record

from . import html, record_json
from . import pdf as drawing
from .pictures import Pictures


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and what a person should know about it."""

    paths: tuple[Path, ...]
    notes: tuple[str, ...] = ()


class PencilLeft(ValueError):
    """A final report was asked for while findings are still pencil; the text says how many and how to mend it."""


def write(
    record: Record,
    folder: Path,
    out: Path,
    *,
    pdf: bool = True,
    final: bool = False,
    progress: Callable[[str], None] | None = None,
    trade: Trade | None = None,
) -> Written:
    """Writes OUT/record.json, OUT/report.html and, where `pdf`, OUT/report.pdf.

    record    what `kingpost.inspect` made of the visit
    folder    the visit folder; photographs are read from it
    out       made where it is missing
    final     refuse while any finding is pencil
    progress  called with a few words before each step
    trade     gives places, trades and quantities their names; where none is given, ours with the visit's own over it

    Raises PencilLeft where `final` and a finding is pencil, OSError where `out` cannot be written. A picture that
    cannot be read, or a PDF that this machine cannot make, is a note: everything else is still written.
    """
    pencil = sum(f.state != "ink" for f in record.findings)
    if final and pencil:
        raise PencilLeft(
            f"{pencil} of {len(record.findings)} findings are pencil; accept, reword or set aside each, "
            "or leave out --final for a draft"
        )
    tell = progress or (lambda _: None)
    out.mkdir(parents=True, exist_ok=True)
    own = folder / "trade"
    names = trade or our_trade(*((own,) if own.is_dir() else ()))
    paths, notes = [out / "record.json", out / "report.html"], list[str]()
    tell("writing record.json")
    paths[0].write_bytes(record_json.dump(record))
    tell("writing report.html")
    pictures = Pictures(folder)
    text = html.page(record, names, pictures)
    paths[1].write_text(text, encoding="utf-8", newline="\n")
    notes += pictures.notes
    sheets = out / "report.pdf"
    sheets.unlink(missing_ok=True)  # one of an earlier run would tell another story
    if pdf:
        tell("writing report.pdf")
        on_paper = html.page(record, names, pictures, on_paper=True)
        try:
            made = drawing.draw(on_paper, html.foot(record), html.paper(record), record.visit.started)
        except drawing.NoPdf as why:
            notes.append(str(why))
        else:
            sheets.write_bytes(made)
            paths.append(sheets)
    return Written(tuple(paths), tuple(notes))
