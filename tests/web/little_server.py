"""A small holder that speaks docs/server.md as far as the field screen asks, for tests of the page alone.

Everything stands in memory and can be looked at by the test. It refuses what the document says is refused.
"""

from __future__ import annotations

import base64
import hashlib
import json
import mimetypes
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlparse

from kingpost.desk import kit
from kingpost.visit.facts import Facts

APP = Path(str(kit.__file__)).parent / "web"
API = "/api/1/"


_kits: dict[str, tuple[bytes, bytes]] = {}


def kits(facts: Facts) -> tuple[bytes, bytes]:
    """What a phone takes along, made once for each house: that takes a second or two."""
    if repr(facts) not in _kits:
        _kits[repr(facts)] = kit.as_json(kit.general()), kit.as_json(kit.house(facts))
    return _kits[repr(facts)]


@lru_cache(maxsize=1)
def core() -> bytes:
    return kit.core()


class Holder:
    """What the server holds."""

    def __init__(self, facts: Facts | None = None) -> None:
        self.visits: dict[str, dict[str, Any]] = {}
        self.events: dict[str, list[dict[str, Any]]] = {}
        self.media: dict[str, bytes] = {}
        self.uploads: dict[str, dict[str, Any]] = {}
        self.facts = facts or Facts()
        self.general, self.house = kits(self.facts)
        self.lock = threading.Lock()
        self.base = ""
        self.cut_uploads = 0  # how many patches end after half their bytes
        self.down = False

    def add(self, visit: str, name: str) -> None:
        self.visits[visit] = {"id": visit, "name": name, "started": "2026-05-12T09:00:00-05:00"}
        self.events.setdefault(visit, [])


class Door(BaseHTTPRequestHandler):
    """One request."""

    protocol_version = "HTTP/1.1"
    holder: Holder

    def log_message(self, *_: Any) -> None:
        """Says nothing."""

    def _send(self, status: int, body: bytes = b"", kind: str = "application/json", **more: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        for name, value in more.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def _json(self, value: Any, status: int = 200) -> None:
        self._send(status, json.dumps(value).encode())

    def _no(self, status: int, problem: str) -> None:
        self._json({"error": {"code": "bad_request", "problem": problem, "mend": "", "where": ""}}, status)

    def _body(self) -> bytes:
        return self.rfile.read(int(self.headers.get("Content-Length") or 0))

    def do_GET(self) -> None:
        """The app's files, and what can be asked for."""
        held, at = self.holder, urlparse(self.path)
        if at.path == "/core.zip":
            self._send(200, core(), "application/zip")
        elif not at.path.startswith(API):
            self._file("index.html" if at.path == "/" else at.path.lstrip("/"))
        elif held.down:
            self._no(503, "the server rests")
        elif (door := at.path.removeprefix(API).split("/"))[0] == "about":
            self._json({"kingpost": "test", "api": 1, "journal": 1, "now_ms": time.time() * 1000})
        elif door[0] == "kit":
            self._send(200, held.general)
        elif door == ["visits"]:
            self._json({"visits": list(held.visits.values())})
        elif door[0] == "visits" and door[1] in held.visits and door[2:] == ["kit"]:
            self._send(200, held.house)
        elif door[0] == "visits" and door[1] in held.visits and door[2:] == ["events"]:
            after = int(parse_qs(at.query).get("after", ["0"])[0])
            some = held.events[door[1]][after : after + 500]
            found = [{"n": after + n + 1, "event": e} for n, e in enumerate(some)]
            cursor = after + len(some)
            self._json({"events": found, "cursor": cursor, "more": cursor < len(held.events[door[1]])})
        else:
            self._no(404, f"{at.path} is not here")

    def _file(self, name: str) -> None:
        path = APP / name
        if not path.is_file() or APP not in path.resolve().parents:
            self._no(404, f"{name} is not here")
            return
        kind = {"mjs": "text/javascript", "wasm": "application/wasm"}.get(name.rpartition(".")[2])
        self._send(200, path.read_bytes(), kind or mimetypes.guess_type(name)[0] or "application/octet-stream")

    def do_POST(self) -> None:
        """Visits, events, uploads."""
        held, body = self.holder, self._body()
        door = urlparse(self.path).path.removeprefix(API).split("/")
        if held.down:
            self._no(503, "the server rests")
        elif door == ["uploads"]:
            said = dict(p.split(" ") for p in self.headers["Upload-Metadata"].split(","))
            name = f"u{len(held.uploads)}"
            sha = base64.b64decode(said["sha256"]).decode()
            held.uploads[name] = {"bytes": b"", "of": int(self.headers["Upload-Length"]), "sha": sha}
            self._send(201, Location=f"{API}uploads/{name}", Tus_Resumable="1.0.0")
        elif door == ["media", "have"]:
            asked = json.loads(body)["media"]
            have = [m for m in asked if m in held.media]
            self._json({"have": have, "missing": [m for m in asked if m not in held.media]})
        elif door == ["visits"]:
            given = json.loads(body)
            held.add(given["id"], given.get("house", {}).get("name", ""))
            self._json(held.visits[given["id"]], 201)
        elif door[0] == "visits" and door[1] in held.visits and door[2:] == ["events"]:
            self._events(door[1], json.loads(body)["events"])
        else:
            self._no(404, f"{self.path} is not here")

    def _events(self, visit: str, given: list[dict[str, Any]]) -> None:
        held = self.holder
        with held.lock:
            there = {json.dumps(e, sort_keys=True) for e in held.events[visit]}
            fresh = [e for e in given if json.dumps(e, sort_keys=True) not in there]
            held.events[visit] += fresh
        self._json({"took": len(fresh), "had": len(given) - len(fresh), "odd": [], "heads": {}, "missing_media": []})

    def do_HEAD(self) -> None:
        """Where an upload stands."""
        one = self.holder.uploads.get(self.path.rpartition("/")[2])
        if one is None:
            self._send(404)
        else:
            self._send(200, Upload_Offset=str(len(one["bytes"])), Upload_Length=str(one["of"]), Tus_Resumable="1.0.0")

    def do_PATCH(self) -> None:
        """The next bytes of an upload."""
        held, body = self.holder, self._body()
        one = held.uploads.get(self.path.rpartition("/")[2])
        if one is None:
            self._no(404, "no such upload")
        elif int(self.headers["Upload-Offset"]) != len(one["bytes"]):
            self._no(409, "the offset is another")
        elif held.cut_uploads > 0:
            held.cut_uploads -= 1
            one["bytes"] += body[: len(body) // 2]
            self.close_connection = True  # the line breaks
        else:
            one["bytes"] += body
            if len(one["bytes"]) == one["of"]:
                if hashlib.sha256(one["bytes"]).hexdigest() != one["sha"]:
                    self._no(460, "the digest is another")
                    return
                held.media[one["sha"]] = one["bytes"]
            self._send(204, Upload_Offset=str(len(one["bytes"])), Tus_Resumable="1.0.0")


class Quiet(ThreadingHTTPServer):
    """A page that is closed breaks the line; that is the test, not a fault."""

    daemon_threads = True

    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


@contextmanager
def serving(holder: Holder, port: int = 0) -> Iterator[Holder]:
    """Serves until the block ends, whatever happens in it. `holder.base` is the address."""
    door = type("OneDoor", (Door,), {"holder": holder})
    server = Quiet(("127.0.0.1", port), door)
    holder.base = f"http://localhost:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield holder
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)
