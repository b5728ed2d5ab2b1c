"""`kingpost check`: one measurement against what the trade asks."""

from __future__ import annotations

import argparse
from typing import Any

from .base import GOOD, Refused, Steps, command


def add(commands: Any) -> None:
    parser = command(commands, "check", run, "hold one measurement against what the trade asks")
    parser.add_argument("name", metavar="NAME", nargs="?", help="the check; --list names them all")
    parser.add_argument("pairs", metavar="key=value", nargs="*", help="its inputs, as in height=4.0in+-0.1in")
    parser.add_argument("--list", action="store_true", help="list the checks and their inputs")
    parser.add_argument("--json", action="store_true", help="print the answer as one JSON object")


def run(args: argparse.Namespace, step: Steps) -> int:
    step("checking")
    from kingpost.judge import ask
    from kingpost.judge.values import AskError

    if args.list or args.name is None:
        if args.name is None and not args.list:
            raise Refused("no check is named; `kingpost check --list` names them all")
        print(ask.listing())
        return GOOD
    try:
        answer = ask.run(args.name, args.pairs)
    except AskError as err:
        raise Refused(str(err)) from None
    step.clear()
    if args.json:
        print(answer.as_json())
    else:
        print(answer.text())
    return GOOD
