"""`kingpost measure`: a length in a photo, by the strip that lies beside it."""

from __future__ import annotations

import argparse
import re
from dataclasses import asdict
from math import isfinite
from pathlib import Path
from typing import Any

from .base import GOOD, Refused, Steps, command, print_json

PLANE = "true only if both points lie in the plane of the strip; a picture cannot show whether they do"


def add(commands: Any) -> None:
    parser = command(commands, "measure", run, "tell a length in a photo by the strip that lies beside it")
    parser._negative_number_matcher = re.compile(r"-[\d.]")  # so that -5,10 is a point, and told to be outside
    parser.add_argument("photo", metavar="PHOTO", type=Path, help="a JPEG, PNG or HEIC with the strip in it")
    parser.add_argument("--from", dest="start", metavar="X,Y", type=point, required=True, help="one end, px, upright")
    parser.add_argument("--to", dest="end", metavar="X,Y", type=point, required=True, help="the other end")
    parser.add_argument("--tag-mm", metavar="MM", type=float, help="side of the one square tag of another card")
    parser.add_argument(
        "--check-line", metavar="MM", type=float, default=100.0, help="what the printed line of 100 mm measures"
    )
    parser.add_argument("--json", action="store_true", help="print the answer as one JSON object")


def point(text: str) -> tuple[float, float]:
    """ "120,88.5" as a point. Raises ArgumentTypeError."""
    try:
        x, y = (float(part) for part in text.split(","))
        if not (isfinite(x) and isfinite(y)):
            raise ValueError(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f'"{text}" is not a point; write it as 120,88') from None
    return x, y


def run(args: argparse.Namespace, step: Steps) -> int:
    step("measuring")
    from kingpost.look.strip_measure import measure
    from kingpost.look.strip_tags import LookMissing, MeasureError

    if args.tag_mm is not None and not 5.0 <= args.tag_mm <= 1000.0:
        raise Refused(f"--tag-mm {args.tag_mm:g}: is no side of a tag; give the black square's, 5 to 1000 mm")
    try:
        made = measure(args.photo, args.start, args.end, tag_mm=args.tag_mm, check_line_mm=args.check_line)
    except (MeasureError, LookMissing) as err:
        raise Refused(str(err) if str(err).startswith(str(args.photo)) else f"{args.photo}: {err}") from None
    step.clear()
    if args.json:
        print_json({**asdict(made), "shares": dict(made.shares), "inches": made.inches, "note": PLANE})
        return GOOD
    print(made.says())
    print(PLANE)
    return GOOD
