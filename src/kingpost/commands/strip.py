"""`kingpost strip`: the page with the strip to measure by."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from .base import GOOD, Refused, Steps, command, why


def add(commands: Any) -> None:
    parser = command(commands, "strip", run, "write the strip that is laid beside a thing to measure it in a photo")
    parser.add_argument("-o", "--out", metavar="F.pdf", type=Path, required=True, help="the PDF to write")
    parser.add_argument("--paper", choices=("letter", "a4"), default="letter", help="letter or a4, lying")


def run(args: argparse.Namespace, step: Steps) -> int:
    step("drawing the strip")
    from kingpost.look import strip

    try:
        args.out.write_bytes(strip.pdf(args.paper))
    except OSError as err:
        raise Refused(f"{args.out}: cannot be written ({why(err)}); choose another file for -o") from None
    step.clear()
    print(args.out)
    print("print it at true size, then check that its line measures 100 mm")
    return GOOD
