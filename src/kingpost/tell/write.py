"""The front door: one record to record.json, report.html and report.pdf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from kingpost.trade.load import trade as our_trade
from kingpost.trade.model import Trade
from kingpost.visit.record import Record

from . import editions, html, record_json
from . import pdf as drawing
from .extracts import Reader, edition_words, extract, reader, with_editions
from .extracts.pages import Whole
from .index import Index
from .pictures import Pictures

EXTRACTS = ("report-buyer.*", "report-agent.*", "report-inspector.*", "report-trade-*.*")  # files of an earlier run


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and what a person should know about it."""

    paths: tuple[Path, ...]
    notes: tuple[str, ...] = ()


class PencilLeft(ValueError):
    """A final report was asked for while findings are still pencil; the text says how many and how to mend it."""


@dataclass(frozen=True, slots=True)
class Issue:
    """A final report is delivered: the day, and why where it is not the first edition."""

    issued: date
    why: str = ""


def write(
    record: Record,
    folder: Path,
    out: Path,
    *,
    pdf: bool = True,
    final: bool = False,
    progress: Callable[[str], None] | None = None,
    trade: Trade | None = None,
    extracts: Sequence[str] = (),
    issue: Issue | None = None,
) -> Written:
    """Writes OUT/record.json, OUT/report.html, where `pdf` OUT/report.pdf, and each extract asked for beside them.

    record    what `kingpost.inspect` made of the visit
    folder    the visit folder; photographs are read from it
    out       made where it is missing
    final     refuse while any finding is pencil
    progress  called with a few words before each step
    trade     gives places, trades and quantities their names; where none is given, ours with the visit's own over it
    extracts  for whom: buyer, agent, inspector, trade:NAME
    issue     keep this record in the visit folder as the edition that is delivered; final reports only

    Raises PencilLeft where `final` and a finding is pencil, ExtractError for a reader that there is not, EditionError
    where a kept edition is damaged, OSError where `out` cannot be written. A picture that cannot be read, or a PDF
    that this machine cannot make, is a note: everything else is still written.
    """
    pencil = sum(f.state != "ink" for f in record.findings)
    if (final or issue) and pencil:
        raise PencilLeft(
            f"{pencil} of {len(record.findings)} findings are pencil; accept, reword or set aside each, "
            "or leave out --final for a draft"
        )
    own = folder / "trade"
    names = trade or our_trade(*((own,) if own.is_dir() else ()))
    readers = [reader(words, Index(record, names)) for words in dict.fromkeys(extracts)]
    kept = editions.keep(folder, record, issue.issued, issue.why) if issue else editions.read(folder)
    made = _Making(record, names, Pictures(folder), editions.line(kept, record), out, progress or (lambda _: None))
    made.all(readers, pdf)
    return Written(tuple(made.paths), (*made.notes, *made.pictures.notes))


class _Making:
    """One report being written."""

    def __init__(
        self,
        record: Record,
        trade: Trade,
        pictures: Pictures,
        line: tuple[editions.Edition, ...],
        out: Path,
        tell: Callable[[str], None],
    ) -> None:
        self.record, self.trade, self.pictures, self.line = record, trade, pictures, line
        self.out, self.tell = out, tell
        self.paths: list[Path] = []
        self.notes: list[str] = []

    def all(self, readers: Sequence[Reader], pdf: bool) -> None:
        """Every file, the record first."""
        self.out.mkdir(parents=True, exist_ok=True)
        for pattern in EXTRACTS:
            for old in sorted(self.out.glob(pattern)):
                old.unlink()  # one of an earlier run would tell another story
        self.tell("writing record.json")
        self._put("record.json", record_json.dump(self.record))
        self.tell("writing report.html")
        screen = self._whole(False)
        self._put("report.html", screen.page.encode("utf-8"))
        for one in readers:
            self._put(f"{one.file}.html", extract(screen, one).encode("utf-8"))
        (self.out / "report.pdf").unlink(missing_ok=True)
        if not pdf:
            return
        paper = self._whole(True)
        pages = {"report": paper.page} | {one.file: extract(paper, one) for one in readers}
        for name, page in pages.items():
            self.tell(f"writing {name}.pdf")
            try:
                made = drawing.draw(page, self._foot(), html.paper(self.record), self.record.visit.started)
            except drawing.NoPdf as why:
                self.notes.append(str(why))
                return
            self._put(f"{name}.pdf", made)

    def _whole(self, on_paper: bool) -> Whole:
        page = with_editions(html.page(self.record, self.trade, self.pictures, on_paper=on_paper), self.line)
        return Whole(self.record, self.trade, self.pictures, page, on_paper, self.line)

    def _foot(self) -> str:
        return ". ".join(part for part in (html.foot(self.record), edition_words(self.line)) if part)

    def _put(self, name: str, content: bytes) -> None:
        path = self.out / name
        path.write_bytes(content)
        self.paths.append(path)
