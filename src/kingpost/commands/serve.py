"""`kingpost serve`: the server of the field and desk app."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

from .base import GOOD, Refused, Steps, command, why


def add(commands: Any) -> None:
    parser = command(commands, "serve", run, "serve the field and desk app on this machine")
    parser.add_argument("dir", metavar="DIR", type=Path, nargs="?", help="where visits are kept; else ~/kingpost")
    parser.add_argument("--host", metavar="HOST", default="127.0.0.1", help="127.0.0.1: this machine only")
    parser.add_argument("--port", metavar="PORT", type=int, default=8484, help="8484 unless given; 0 for any free one")
    parser.add_argument("--cert", metavar="FILE", type=Path, help="a certificate for TLS, with --key")
    parser.add_argument("--key", metavar="FILE", type=Path, help="its private key")
    parser.add_argument(
        "--sample", metavar="VISIT", type=Path, action="append", default=[], help="copy this visit folder in, once"
    )


def run(args: argparse.Namespace, step: Steps) -> int:
    step("starting the server")
    try:
        from kingpost.desk import serve
    except ImportError as err:
        raise Refused(f"the server needs {err.name}; pip install 'kingpost[desk]'") from None
    from kingpost.visit import VisitError

    if (args.cert is None) != (args.key is None):
        raise Refused("--cert and --key stand together; give both for TLS")
    for path in (args.cert, args.key):
        if path is not None and not path.is_file():
            raise Refused(f"{path}: is not a file; give the PEM file")
    if not 0 <= args.port <= 65535:
        raise Refused(f"--port {args.port}: is no port; give one from 1024 to 65535")
    root = args.dir or Path.home() / "kingpost"
    if (root / "visit.toml").exists():
        raise Refused(f"{root}: is a visit; give a folder for the server's own data, and the visit with --sample")
    try:
        at = serve.bound(args.host, args.port)
    except OSError as err:
        raise Refused(f"{args.host}:{args.port}: cannot be served ({why(err)}); give another --port") from None
    try:
        os.umask(0o077)  # what is kept is the owner's
        serve.prepare(root, args.sample)
        step.clear()
        serve.run(root, args.host, args.port, args.cert, args.key, lambda words: print(words, flush=True), at)
    except VisitError as err:
        raise Refused(troubles=err.troubles) from None
    except OSError as err:
        raise Refused(f"{err.filename or root}: cannot be used ({why(err)}); give another folder") from None
    finally:
        at.close()
    return GOOD
