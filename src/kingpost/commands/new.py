"""`kingpost new`: an empty visit folder to fill."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from .base import GOOD, Refused, Steps, command


def add(commands: Any) -> None:
    parser = command(commands, "new", run, "make an empty visit folder to fill")
    parser.add_argument("folder", metavar="DIR", type=Path, help="the folder to make")


def run(args: argparse.Namespace, step: Steps) -> int:
    from kingpost.visit import VisitError, new

    step("making the folder")
    try:
        written = new(args.folder)
    except VisitError as err:
        raise Refused(troubles=err.troubles) from None
    step.clear()
    print(*written, sep="\n")
    print(f"fill in visit.toml, add words, pictures or readings, then: kingpost report {args.folder} -o OUT")
    return GOOD
