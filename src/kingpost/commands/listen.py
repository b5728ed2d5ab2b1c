"""`kingpost listen`: what a transcript says."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from kingpost import terminal

from .base import GOOD, Refused, Steps, command, inspected, trade_option, why


def add(commands: Any) -> None:
    parser = command(commands, "listen", run, "show what a transcript says: remarks and draft findings")
    parser.add_argument("transcript", metavar="TRANSCRIPT", type=Path, help="a .vtt, .srt or .txt file")
    parser.add_argument("-o", "--out", metavar="F.vtt", type=Path, help="also write the words as a timed transcript")
    trade_option(parser)


def run(args: argparse.Namespace, step: Steps) -> int:
    from kingpost.visit.facts import Facts, Visit
    from kingpost.visit.subtitles import as_vtt
    from kingpost.visit.walks import transcript

    step("reading the transcript")
    walk, troubles = transcript(args.transcript)
    if walk is None:
        raise Refused(troubles=troubles)
    if args.out is not None:
        if args.out.resolve() == args.transcript.resolve():
            raise Refused(f"{args.out}: is the transcript itself; give -o another name, nothing said is overwritten")
        try:
            args.out.write_text(as_vtt(walk.cues, walk.started), encoding="utf-8")
        except OSError as err:
            raise Refused(f"{args.out}: cannot be written ({why(err)}); choose another file for -o") from None
    visit = Visit(args.transcript.parent, Facts(started=walk.started), (walk,), trouble=troubles)
    record = inspected(visit, args.trade, step)
    step.clear()
    print(*terminal.heard(record), sep="\n")
    return GOOD
