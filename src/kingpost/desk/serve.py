"""Runs the server until it is stopped."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from . import layout
from .app import make
from .guard import code_text, is_local
from .store import Store

GRACE_S = 3  # for answers under way when the server is stopped


def prepare(root: Path, samples: list[Path]) -> list[str]:
    """Bring visit folders of this machine into the server's own, each once; the ids of those that came new."""
    store = Store(root)
    try:
        new = []
        for sample in samples:
            visit = visit_id(sample.name)
            if not store.has_visit(visit):
                layout.bring_in(store, visit, sample)
                new.append(visit)
        return new
    finally:
        store.close()


def visit_id(name: str) -> str:
    """A folder's name as an id.

    >>> visit_id("Alder Row 1964")
    'alder-row-1964'
    """
    plain = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower()).strip("-")[:60]
    return plain if len(plain) > 1 else f"visit-{plain or 'one'}"


def bound(host: str, port: int) -> socket.socket:
    """The address, taken. Raises OSError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    at = socket.socket(family, socket.SOCK_STREAM)
    at.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        at.bind((host, port))
    except OSError:
        at.close()
        raise
    return at


def own_name(host: str) -> str:
    """How another machine may name this one: the host it was bound to, else the address it has outside."""
    if host not in ("0.0.0.0", "::"):
        return host
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # RFC 5737, for documentation; nothing is sent
            return str(probe.getsockname()[0])
    except OSError:
        return socket.gethostname()


def run(
    root: Path, host: str, port: int, cert: Path | None, key: Path | None, say: Callable[[str], None], at: socket.socket
) -> None:
    """Serve until Ctrl-C."""
    local, secure = is_local(host), cert is not None
    port = at.getsockname()[1]
    name = host if local else own_name(host)
    address = f"{'https' if secure else 'http'}://{f'[{name}]' if ':' in name else name}:{port}"
    app = make(root, local=local, address=address, secure=secure)
    say(f"{address}  visits in {root}; Ctrl-C ends it")
    if not local:
        token, _ = app.state.desk.pairing.token()
        link = f"{address}/#pair={token}"
        say(f"scan to pair a phone, once, within 10 minutes: {link}")
        say(code_text(link))
        if not secure:
            say("without TLS this network can read along, and phones allow no microphone: see docs/server.md")
    free = shutil.disk_usage(root).free
    if free < 1 << 30:
        say(f"only {free >> 20} MB are free on this disk")
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=GRACE_S,
        ssl_certfile=str(cert) if cert else None, ssl_keyfile=str(key) if key else None, proxy_headers=False,
    )  # fmt: skip
    uvicorn.Server(config).run(sockets=[at])
