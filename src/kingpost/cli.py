"""The command line: a thin door; each command is a module of `commands`."""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from collections.abc import Sequence

from kingpost import __version__
from kingpost.commands import NAMES
from kingpost.commands.base import BAD_INPUT, Refused, Steps, print_json

FAULT, STOPPED, PIPE = 1, 130, 141


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0; 1 for a fault of ours; 2 for input that cannot be used; 130 when stopped."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a terminal that lacks a sign must not end the run
    args = _arguments(argv)
    step = Steps()
    try:
        code = int(args.run(args, step))
        sys.stdout.flush()
        return code
    except Refused as told:
        step.clear()
        print(*told.lines, sep="\n", file=sys.stderr)
        if getattr(args, "json", False):
            from kingpost.visit.record import plain

            print_json({"ok": False, "says": list(told.lines), "trouble": plain(told.troubles)})
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
    for name in NAMES:
        importlib.import_module(f"kingpost.commands.{name}").add(commands)
    return top


if __name__ == "__main__":
    sys.exit(main())
