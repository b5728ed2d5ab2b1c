"""The command line: a thin door. Rooms are imported where a command needs them, so that --version is quick."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kingpost import __version__, terminal

if TYPE_CHECKING:
    from kingpost.tell.write import Written
    from kingpost.visit.facts import Trouble, Visit
    from kingpost.visit.record import Record

GOOD, FAULT, BAD_INPUT, STOPPED, PIPE = 0, 1, 2, 130, 141
CLEAR = "\r\x1b[K"


class _Refused(Exception):
    """The command cannot be done with this input; `lines` say why, one fault a line."""

    def __init__(self, *lines: str, troubles: Sequence[Trouble] = ()) -> None:
        self.lines, self.troubles = (*(str(t) for t in troubles), *lines), tuple(troubles)
        super().__init__("\n".join(self.lines))


class _Steps:
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


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0; 1 for a fault of ours; 2 for input that cannot be used; 130 when stopped."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a terminal that lacks a sign must not end the run
    args = _arguments(argv)
    step = _Steps()
    try:
        code = int(args.run(args, step))
        sys.stdout.flush()
        return code
    except _Refused as told:
        step.clear()
        print(*told.lines, sep="\n", file=sys.stderr)
        if getattr(args, "json", False):
            from kingpost.visit.record import plain

            _print_json({"ok": False, "says": list(told.lines), "trouble": plain(told.troubles)})
        return BAD_INPUT
    except KeyboardInterrupt:
        step.clear()
        print("stopped", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nobody reads on; nothing more to say
        return PIPE
    except Exception as fault:
        step.clear()
        if os.environ.get("KINGPOST_DEBUG"):
            raise
        print(
            f"{step.now}: {type(fault).__name__}; this is a fault in Kingpost; "
            "run again with KINGPOST_DEBUG=1 for details",
            file=sys.stderr,
        )
        return FAULT


def _arguments(argv: Sequence[str] | None) -> argparse.Namespace:
    """The arguments; `kingpost check NAME --json a=1` means the same as `kingpost check NAME a=1 --json`."""
    parser = _parser()
    args, rest = parser.parse_known_args(argv)
    if rest and hasattr(args, "pairs") and all("=" in one and not one.startswith("-") for one in rest):
        args.pairs = [*args.pairs, *rest]
    elif rest:
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    return args


def _parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(prog="kingpost", description="A narrated walk through a house becomes its report.")
    top.add_argument("--version", action="version", version=f"kingpost {__version__}")
    commands = top.add_subparsers(title="commands", metavar="COMMAND", required=True)

    report = _command(commands, "report", _report, "read a visit folder and write its report")
    report.add_argument("visit", metavar="VISIT", type=Path, help="the visit folder")
    report.add_argument("-o", "--out", metavar="OUT", type=Path, required=True, help="folder for the report")
    report.add_argument("--no-pdf", action="store_true", help="write the HTML and the record only")
    report.add_argument(
        "--final", action="store_true", help="the report as it is delivered; refuses while any finding is pencil"
    )
    report.add_argument(
        "--standard", metavar="ID", help="the standard of practice to report by, instead of visit.toml's"
    )
    report.add_argument("--json", action="store_true", help="print a summary as one JSON object and nothing else")
    _trade(report)

    listen = _command(commands, "listen", _listen, "show what a transcript says: remarks and draft findings")
    listen.add_argument("transcript", metavar="TRANSCRIPT", type=Path, help="a .vtt, .srt or .txt file")
    listen.add_argument("-o", "--out", metavar="F.vtt", type=Path, help="also write the words as a timed transcript")
    _trade(listen)

    check = _command(commands, "check", _check, "hold one measurement against what the trade asks")
    check.add_argument("name", metavar="NAME", nargs="?", help="the check; --list names them all")
    check.add_argument("pairs", metavar="key=value", nargs="*", help="its inputs, as in height=4.0in+-0.1in")
    check.add_argument("--list", action="store_true", help="list the checks and their inputs")
    check.add_argument("--json", action="store_true", help="print the answer as one JSON object")

    new = _command(commands, "new", _new, "make an empty visit folder to fill")
    new.add_argument("folder", metavar="DIR", type=Path, help="the folder to make")
    return top


def _command(commands: Any, name: str, run: Callable[..., int], says: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=says, description=says[0].upper() + says[1:] + ".")
    parser.set_defaults(run=run)
    return parser


def _trade(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--trade", metavar="DIR", type=Path, action="append", default=[], help="a firm's own trade data, laid over ours"
    )


# --- report ----------------------------------------------------------------------------------------------------


def _report(args: argparse.Namespace, step: _Steps) -> int:
    visit = _visit(args.visit, step)
    if args.standard:
        visit = _by_standard(visit, args.standard)
    out = _out(args.out, args.visit)
    record = _inspect(visit, args.trade, step)
    written = _write(record, visit, out, args, step)
    step.clear()
    if args.json:
        _print_json(terminal.summary(record, written.paths, written.notes))
    else:
        print(*terminal.told(record, written.paths, written.notes), sep="\n")
    return GOOD


def _visit(folder: Path, step: _Steps) -> Visit:
    from kingpost.visit import VisitError, read

    step("reading the visit")
    try:
        return read(folder)
    except VisitError as err:
        raise _Refused(troubles=err.troubles) from None


def _by_standard(visit: Visit, standard: str) -> Visit:
    from dataclasses import replace

    return replace(visit, facts=replace(visit.facts, standards=(standard,)))


def _out(out: Path, visit: Path) -> Path:
    """The output folder, made and tried before the work begins."""
    if out.resolve() == visit.resolve():
        raise _Refused(
            f"{out}: is the visit itself; choose another folder for -o, so that evidence and report stay apart"
        )
    try:
        out.mkdir(parents=True, exist_ok=True)
        probe = out / ".kingpost"
        probe.write_bytes(b"")
        probe.unlink()
    except OSError as err:
        raise _Refused(f"{out}: cannot be written ({_why(err)}); choose another folder for -o") from None
    return out


def _why(err: OSError) -> str:
    return (err.strerror or type(err).__name__).lower()


def _inspect(visit: Visit, trade: Sequence[Path], step: _Steps) -> Record:
    step("inspecting")
    from kingpost.inspection import inspect
    from kingpost.trade.reading import TradeError

    for folder in trade:
        if not folder.is_dir():
            raise _Refused(f"{folder}: is not a folder of trade data; give --trade the folder")
    try:
        return inspect(visit, trade_dirs=tuple(trade), progress=step)
    except TradeError as err:
        raise _Refused(*(str(fault) for fault in err.faults)) from None


def _write(record: Record, visit: Visit, out: Path, args: argparse.Namespace, step: _Steps) -> Written:
    step("writing the report")
    from kingpost.tell.write import PencilLeft, write
    from kingpost.trade.load import trade

    try:
        return write(
            record,
            visit.folder,
            out,
            pdf=not args.no_pdf,
            final=args.final,
            progress=step,
            trade=trade(*_trade_folders(visit, args.trade)),
        )
    except PencilLeft as err:
        raise _Refused(str(err)) from None
    except OSError as err:
        if err.errno is None:  # not the disk: a library that could not be loaded, say
            raise
        where = err.filename or out
        raise _Refused(f"{where}: cannot be written ({_why(err)}); choose another folder for -o") from None


def _trade_folders(visit: Visit, firm: Sequence[Path]) -> list[Path]:
    """What lies over our trade data: the firm's, then the visit's own trade/, as `inspect` lays them."""
    own = visit.folder / "trade"
    return [*firm, *([own] if own.is_dir() else [])]


def _print_json(thing: Any) -> None:
    import json

    print(json.dumps(thing, ensure_ascii=False, indent=1, sort_keys=True), flush=True)


# --- listen, check, new ----------------------------------------------------------------------------------------


def _listen(args: argparse.Namespace, step: _Steps) -> int:
    from kingpost.visit.facts import Facts, Visit
    from kingpost.visit.subtitles import as_vtt
    from kingpost.visit.walks import transcript

    step("reading the transcript")
    walk, troubles = transcript(args.transcript)
    if walk is None:
        raise _Refused(troubles=troubles)
    if args.out is not None:
        if args.out.resolve() == args.transcript.resolve():
            raise _Refused(f"{args.out}: is the transcript itself; give -o another name, nothing said is overwritten")
        try:
            args.out.write_text(as_vtt(walk.cues, walk.started), encoding="utf-8")
        except OSError as err:
            raise _Refused(f"{args.out}: cannot be written ({_why(err)}); choose another file for -o") from None
    visit = Visit(args.transcript.parent, Facts(started=walk.started), (walk,), trouble=troubles)
    record = _inspect(visit, args.trade, step)
    step.clear()
    print(*terminal.heard(record), sep="\n")
    return GOOD


def _check(args: argparse.Namespace, step: _Steps) -> int:
    step("checking")
    from kingpost.judge import ask
    from kingpost.judge.values import AskError

    if args.list or args.name is None:
        if args.name is None and not args.list:
            raise _Refused("no check is named; `kingpost check --list` names them all")
        print(ask.listing())
        return GOOD
    try:
        answer = ask.run(args.name, args.pairs)
    except AskError as err:
        raise _Refused(str(err)) from None
    step.clear()
    if args.json:
        print(answer.as_json())
    else:
        print(answer.text())
    return GOOD


def _new(args: argparse.Namespace, step: _Steps) -> int:
    from kingpost.visit import VisitError, new

    step("making the folder")
    try:
        written = new(args.folder)
    except VisitError as err:
        raise _Refused(troubles=err.troubles) from None
    step.clear()
    print(*written, sep="\n")
    print(f"fill in visit.toml, add words, pictures or readings, then: kingpost report {args.folder} -o OUT")
    return GOOD


if __name__ == "__main__":
    sys.exit(main())
