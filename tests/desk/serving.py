"""A real server for tests: `kingpost serve` on a free port of this machine, killed at the end whatever happens."""

from __future__ import annotations

import base64
import hashlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx

START_S = 60.0
API = "/api/1"


class Served:
    """One run of the server."""

    visit = ""  # the one that a test is about, where there are many

    def __init__(self, root: Path, *more: str, cache: Path | None = None) -> None:
        self.root = root
        env = {**os.environ, "KINGPOST_DEBUG": "1", "PYTHONUNBUFFERED": "1"}
        if cache is not None:  # as on a machine of its own: what is heard lies in the visit
            env.pop("KINGPOST_CACHE", None)
            env["XDG_CACHE_HOME"] = str(cache)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "kingpost.cli", "serve", str(root), "--port", "0", *more],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True, env=env,
        )  # fmt: skip
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line.startswith("http"), line + self.process.stdout.read()
        self.address = line.split()[0]
        self.client = httpx.Client(base_url=self.address + API, timeout=60, trust_env=False)
        self._ready()

    def _ready(self) -> None:
        until = time.monotonic() + START_S
        while time.monotonic() < until:
            try:
                if self.client.get("/about").status_code == 200:
                    return
            except httpx.TransportError:
                time.sleep(0.05)
        raise AssertionError("the server does not answer")

    def kill(self) -> None:
        """SIGKILL: no goodbye."""
        os.kill(self.process.pid, signal.SIGKILL)
        self.end()

    def end(self) -> None:
        self.client.close()
        if self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
        self.process.wait(10)
        if self.process.stdout is not None:
            self.process.stdout.close()


@contextmanager
def served(root: Path, *more: str, cache: Path | None = None) -> Iterator[Served]:
    one = Served(root, *more, cache=cache)
    try:
        yield one
    finally:
        one.end()


TUS = {"Tus-Resumable": "1.0.0"}


def b64(text: str) -> str:
    return base64.b64encode(text.encode()).decode()


def announced(content: bytes, name: str = "p.jpg", kind: str = "image/jpeg", digest: str = "") -> dict[str, str]:
    """The headers of a new upload."""
    digest = digest or hashlib.sha256(content).hexdigest()
    metadata = f"filename {b64(name)},filetype {b64(kind)},sha256 {b64(digest)}"
    return {**TUS, "Upload-Length": str(len(content)), "Upload-Metadata": metadata}


def at_offset(offset: int) -> dict[str, str]:
    return {**TUS, "Upload-Offset": str(offset), "Content-Type": "application/offset+octet-stream"}


def upload(client: Any, content: bytes, prefix: str = "", **more: Any) -> str:
    """A whole upload in one PATCH; the digest of what was sent."""
    made = client.post(f"{prefix}/uploads", headers=announced(content, **more))
    assert made.status_code == 201, made.text
    sent = client.patch(f"{prefix}/uploads/{made.headers['location'].rsplit('/', 1)[1]}", content=content,
                        headers=at_offset(0))  # fmt: skip
    assert sent.status_code == 204, sent.text
    return hashlib.sha256(content).hexdigest()
