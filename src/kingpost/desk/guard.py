"""Who may come in. On this machine alone: pages of this server only. Elsewhere: devices that were paired by a token."""

from __future__ import annotations

import hashlib
import hmac
import io
import ipaddress
import secrets
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlsplit

import segno
from starlette.types import ASGIApp, Receive, Scope, Send

from .errors import DeskError, answer
from .store import Store, now_ms

TOKEN_MS = 10 * 60 * 1000
COOKIE = "kingpost_key"
OPEN = ("/api/1/about", "/api/1/pair")
LOCAL = {"127.0.0.1", "localhost", "::1", "testserver"}
BODY_BYTES = 8 << 20  # of every door but uploads, which have their own limit
MOST_TRIES = 20  # wrong tokens and keys in a minute; then the doors stay shut for the rest of it


def is_local(host: str) -> bool:
    """Does a name or address mean this machine only?"""
    if host in LOCAL:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


@dataclass(slots=True)
class Pairing:
    """Tokens that are good once, and the keys that devices got for them."""

    store: Store
    _tries: list[int] = field(default_factory=list)

    def token(self) -> tuple[str, int]:
        made, until = secrets.token_urlsafe(24), now_ms() + TOKEN_MS
        with self.store.change() as db:
            db.execute("DELETE FROM tokens WHERE until_ms < ?", (now_ms(),))
            db.execute("INSERT INTO tokens VALUES (?, ?)", (hashed(made), until))
        return made, until

    def pair(self, token: str, name: str) -> str:
        """A key for a device, for a token that is good. Raises DeskError."""
        self.slow()
        key = secrets.token_urlsafe(32)
        with self.store.change() as db:
            gone = db.execute(
                "DELETE FROM tokens WHERE token_hash = ? AND until_ms >= ?", (hashed(token), now_ms())
            ).rowcount
            if gone:
                row = (secrets.token_hex(6), name[:80], hashed(key), now_ms(), now_ms())
                db.execute("INSERT INTO pairs VALUES (?, ?, ?, ?, ?)", row)
        if not gone:
            self.missed()
            raise DeskError(401, "this token was used, is too old, or is none", "scan a new code on the computer")
        return key

    def knows(self, key: str) -> bool:
        if not key:
            return False
        found = self.store.ask("SELECT id, key_hash, seen_ms FROM pairs WHERE key_hash = ?", hashed(key))
        if not found or not hmac.compare_digest(found[0][1], hashed(key)):
            self.missed()
            return False
        if now_ms() - found[0][2] > 60_000:
            with self.store.change() as db:
                db.execute("UPDATE pairs SET seen_ms = ? WHERE id = ?", (now_ms(), found[0][0]))
        return True

    def missed(self) -> None:
        self._tries = [t for t in self._tries if t > now_ms() - 60_000] + [now_ms()]

    def slow(self) -> None:
        if len([t for t in self._tries if t > now_ms() - 60_000]) > MOST_TRIES:
            raise DeskError(429, "too many wrong tokens and keys", "wait a minute")


def hashed(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def code(address: str) -> str:
    """A QR code as SVG."""
    out = io.BytesIO()
    segno.make(address, error="m").save(out, kind="svg", scale=6, border=4, xmldecl=False)
    return out.getvalue().decode()


def code_text(address: str) -> str:
    """A QR code for a terminal."""
    out = io.StringIO()
    segno.make(address, error="m").terminal(out, compact=True)
    return out.getvalue()


class Guard:
    """Before every door: host, origin, key and size."""

    def __init__(self, app: ASGIApp, pairing: Pairing, local: bool) -> None:
        self.app, self.pairing, self.local = app, pairing, local

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        refused = self._refused(scope, headers)
        if refused is not None:
            await answer(*refused)(scope, receive, send)
            return
        if scope["path"].startswith("/api/1/uploads"):
            await self.app(scope, receive, send)
        else:
            await self._bounded(scope, receive, send, headers)

    def _refused(self, scope: Scope, headers: dict[str, str]) -> tuple[Any, ...] | None:
        host = headers.get("host", "")
        if self.local and not is_local(urlsplit(f"//{host}").hostname or ""):
            return 403, "the Host is not this machine", "open the server by 127.0.0.1 or localhost"
        origin = headers.get("origin")
        if origin is not None and (origin == "null" or urlsplit(origin).netloc != host):
            return 403, "a page of another site may not reach in", "open the app from this server"
        length = headers.get("content-length", "0")
        if not scope["path"].startswith("/api/1/uploads") and length.isdigit() and int(length) > BODY_BYTES:
            return 413, f"the body has {int(length):,} bytes; at most {BODY_BYTES:,} are taken", "send less at once"
        path = scope["path"]
        if self.local or not path.startswith("/api/") or path in OPEN:
            return None
        scheme, _, bearer = headers.get("authorization", "").partition(" ")
        cookie: SimpleCookie = SimpleCookie()
        try:
            cookie.load(headers.get("cookie", ""))
        except Exception:
            cookie.clear()
        keys = [bearer] if scheme.lower() == "bearer" else []
        keys += [cookie[COOKIE].value] if COOKIE in cookie else []
        if any(self.pairing.knows(key.strip()) for key in keys):
            return None
        return 401, "this device is not paired", "scan the code that the server shows"

    async def _bounded(self, scope: Scope, receive: Receive, send: Send, headers: dict[str, str]) -> None:
        """A body without a length is cut off where it grows too large."""
        got = 0

        async def counted() -> Any:
            nonlocal got
            message = await receive()
            got += len(message.get("body", b""))
            if got > BODY_BYTES:
                raise DeskError(413, f"the body has more than {BODY_BYTES:,} bytes", "send less at once")
            return message

        await self.app(scope, counted if "content-length" not in headers else receive, send)
