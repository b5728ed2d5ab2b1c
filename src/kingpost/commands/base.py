"""What the commands share: refusing, progress, reading a visit, inspecting it, an output folder."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kingpost.visit.facts import Trouble, Visit
    from kingpost.visit.record import Record

GOOD, BLOCKED, BAD_INPUT = 0, 1, 2
CLEAR = "\r\x1b[K"


class Refused(Exception):
    """The command cannot be done with this input; `lines` say why, one fault a line."""

    def __init__(self, *lines: str, troubles: Sequence[Trouble] = ()) -> None:
        self.lines, self.troubles = (*(str(t) for t in troubles), *lines), tuple(troubles)
        super().__init__("\n".join(self.lines))


class Steps:
    """Which step is going on: shown on a terminal, and named if the step breaks."""

    def __init__(self) -> None:
        self.now = "starting"
        self._shown = False

    def __call__(self, step: str) -> None:
        self.now = step
        if sys.stderr.isatty():
            print(f"{CLEAR}{step} ...", end="", file=sys.stderr, flush=True)
            self._shown = True

    def clear(self) -> None:
        if self._shown:
            print(CLEAR, end="", file=sys.stderr, flush=True)
            self._shown = False


def command(commands: Any, name: str, run: Callable[..., int], says: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=says, description=says[0].upper() + says[1:] + ".")
    parser.set_defaults(run=run)
    return parser


def trade_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--trade", metavar="DIR", type=Path, action="append", default=[], help="a firm's own trade data, laid over ours"
    )


def listened(
    folder: Path, trade: Sequence[Path], step: Callable[[str], None]
) -> tuple[Path | None, tuple[Trouble, ...]]:
    """Hears what sound a visit holds before it is read: where the hearings are kept, and why there are none."""
    if not (folder / "walk").is_dir():
        return None, ()
    from kingpost.listen.audio import hear_visit
    from kingpost.trade.reading import TradeError

    try:
        return hear_visit(folder, trade, step)
    except TradeError as err:
        raise Refused(*(str(fault) for fault in err.faults)) from None


def visit_of(folder: Path, step: Callable[[str], None], trade: Sequence[Path] = ()) -> Visit:
    """The visit in a folder, its sound listened to and its plates read."""
    from kingpost.visit import VisitError, read

    hearings, trouble = listened(folder, trade, step)
    step("reading the visit")
    try:
        visit = read(folder, hearings)
    except VisitError as err:
        raise Refused(troubles=(*trouble, *err.troubles)) from None
    visit = replace(visit, trouble=(*trouble, *visit.trouble)) if trouble else visit
    from kingpost.look import hide_suggest, plates

    return hide_suggest.look(plates.read_visit(visit, step), step)


def out_folder(out: Path, visit: Path) -> Path:
    """The output folder, made and tried before the work begins."""
    if out.resolve() == visit.resolve():
        raise Refused(
            f"{out}: is the visit itself; choose another folder for -o, so that evidence and report stay apart"
        )
    try:
        out.mkdir(parents=True, exist_ok=True)
        probe = out / ".kingpost"
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as err:
        raise Refused(f"{out}: cannot be written ({why(err)}); choose another folder for -o") from None
    return out


def why(err: OSError) -> str:
    return (err.strerror or type(err).__name__).lower()


def inspected(visit: Visit, trade: Sequence[Path], step: Steps) -> Record:
    step("inspecting")
    from kingpost.inspection import inspect
    from kingpost.trade.reading import TradeError

    for folder in trade:
        if not folder.is_dir():
            raise Refused(f"{folder}: is not a folder of trade data; give --trade the folder")
    try:
        return inspect(visit, trade_dirs=tuple(trade), progress=step)
    except TradeError as err:
        raise Refused(*(str(fault) for fault in err.faults)) from None


def trade_folders(visit: Visit, firm: Sequence[Path]) -> list[Path]:
    """What lies over our trade data: the firm's, then the visit's own trade/, as `inspect` lays them."""
    own = visit.folder / "trade"
    return [*firm, *([own] if own.is_dir() else [])]


def print_json(thing: Any) -> None:
    import json

    print(json.dumps(thing, ensure_ascii=False, indent=1, sort_keys=True), flush=True)
