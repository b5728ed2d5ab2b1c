"""`kingpost report`: a visit folder becomes its report."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kingpost import terminal

from .base import (
    GOOD,
    Refused,
    Steps,
    command,
    inspected,
    out_folder,
    print_json,
    trade_folders,
    trade_option,
    visit_of,
    why,
)

if TYPE_CHECKING:
    from datetime import date

    from kingpost.tell.write import Written
    from kingpost.visit.facts import Visit
    from kingpost.visit.record import Record


def add(commands: Any) -> None:
    parser = command(commands, "report", run, "read a visit folder and write its report")
    parser.add_argument("visit", metavar="VISIT", type=Path, help="the visit folder")
    parser.add_argument("-o", "--out", metavar="OUT", type=Path, required=True, help="folder for the report")
    parser.add_argument("--no-pdf", action="store_true", help="write the HTML and the record only")
    parser.add_argument(
        "--final", action="store_true", help="the report as it is delivered; refuses while any finding is pencil"
    )
    parser.add_argument(
        "--standard", metavar="ID", help="the standard of practice to report by, instead of visit.toml's"
    )
    parser.add_argument(
        "--for",
        dest="readers",
        metavar="WHO",
        action="append",
        default=[],
        help="also write the extract for one reader: buyer, agent, inspector, trade:NAME; may stand several times",
    )
    parser.add_argument(
        "--issued", metavar="DATE", help="with --final: this edition is delivered on DATE, and kept in the visit folder"
    )
    parser.add_argument("--why", metavar="TEXT", default="", help="with --issued: why there is this edition")
    parser.add_argument("--json", action="store_true", help="print a summary as one JSON object and nothing else")
    trade_option(parser)


def run(args: argparse.Namespace, step: Steps) -> int:
    issued = issued_on(args)
    visit = visit_of(args.visit, step, args.trade)
    if args.standard:
        visit = by_standard(visit, args.standard)
    out = out_folder(args.out, args.visit)
    record = inspected(visit, args.trade, step)
    written = written_to(record, visit, out, args, step, issued)
    step.clear()
    if args.json:
        print_json(terminal.summary(record, written.paths, written.notes))
    else:
        print(*terminal.told(record, written.paths, written.notes), sep="\n")
    return GOOD


def by_standard(visit: Visit, standard: str) -> Visit:
    from dataclasses import replace

    return replace(visit, facts=replace(visit.facts, standards=(standard,)))


def issued_on(args: argparse.Namespace) -> date | None:
    """The day of --issued. Raises Refused for what is no day, and where the report is not final."""
    from datetime import date

    if args.issued is None:
        if args.why:
            raise Refused("--why says why an edition is delivered; give --final --issued DATE with it")
        return None
    if not args.final:
        raise Refused("--issued keeps an edition, and only a final report is delivered; give --final with it")
    try:
        return date.fromisoformat(args.issued)
    except ValueError:
        raise Refused(f"--issued {args.issued}: is not a day; write it as 2026-05-14") from None


def written_to(
    record: Record, visit: Visit, out: Path, args: argparse.Namespace, step: Steps, issued: date | None
) -> Written:
    step("writing the report")
    from kingpost.tell.editions import EditionError
    from kingpost.tell.extracts import ExtractError
    from kingpost.tell.write import Issue, PencilLeft, write
    from kingpost.trade.load import trade

    try:
        return write(
            record,
            visit.folder,
            out,
            pdf=not args.no_pdf,
            final=args.final,
            progress=step,
            trade=trade(*trade_folders(visit, args.trade)),
            extracts=args.readers,
            issue=Issue(issued, args.why) if issued else None,
        )
    except (PencilLeft, ExtractError, EditionError) as err:
        raise Refused(str(err)) from None
    except OSError as err:
        if err.errno is None:  # not the disk: a library that could not be loaded, say
            raise
        where = err.filename or out
        raise Refused(f"{where}: cannot be written ({why(err)}); choose another folder for -o") from None
