"""`kingpost listen`: what is said in a sound file or a transcript."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from kingpost import terminal

from .base import GOOD, Refused, Steps, command, inspected, trade_option, why


def add(commands: Any) -> None:
    parser = command(commands, "listen", run, "show what is said in sound or a transcript: remarks and draft findings")
    parser.add_argument(
        "transcript", metavar="AUDIO_OR_TRANSCRIPT", type=Path, help="sound, or a .vtt, .srt or .txt file"
    )
    parser.add_argument("-o", "--out", metavar="F.vtt", type=Path, help="also write the words as a timed transcript")
    trade_option(parser)


def run(args: argparse.Namespace, step: Steps) -> int:
    from kingpost.visit.facts import Facts, Visit
    from kingpost.visit.subtitles import as_vtt
    from kingpost.visit.walks import is_sound, transcript

    hearings = heard(args.transcript, args.trade, step) if is_sound(args.transcript) else None
    step("reading the transcript")
    walk, troubles = transcript(args.transcript, hearings)
    if walk is None:
        raise Refused(troubles=troubles)
    if args.out is not None:
        if args.out.resolve() == args.transcript.resolve():
            raise Refused(f"{args.out}: is what is listened to; give -o another name, nothing said is overwritten")
        try:
            args.out.write_text(as_vtt(walk.cues, walk.started), encoding="utf-8")
        except OSError as err:
            raise Refused(f"{args.out}: cannot be written ({why(err)}); choose another file for -o") from None
    visit = Visit(args.transcript.parent, Facts(started=walk.started), (walk,), trouble=troubles)
    record = inspected(visit, args.trade, step)
    step.clear()
    print(*terminal.heard(record), sep="\n")
    return GOOD


def heard(path: Path, trade: Sequence[Path], step: Steps) -> Path:
    """Listens to a sound file; the folder that keeps what was heard."""
    from kingpost.listen.audio import SpeechMissing, hear_file
    from kingpost.trade.reading import TradeError

    try:
        return hear_file(path, trade, step)[1]
    except SpeechMissing as err:
        raise Refused(f"{path}: {err}") from None
    except TradeError as err:
        raise Refused(*(str(fault) for fault in err.faults)) from None
    except OSError as err:
        raise Refused(f"{err.filename or path}: cannot be used ({why(err)}); check the file and the disk") from None
