"""Resumable uploads by tus 1.0.0 (tuspyserver), into the media store.

Two things are ours. After a kill in the middle of a PATCH more bytes lie on disk than the upload's note says, and the
library would append behind them; here the offset is what lies on disk. And nothing is taken that is not what its
SHA-256 announced.
"""

from __future__ import annotations

import asyncio
import json
import logging
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fastapi import APIRouter, HTTPException
from starlette.types import ASGIApp, Receive, Scope, Send
from tuspyserver import create_tus_router
from tuspyserver.storage.local import LocalFileStorage

from kingpost.visit.journal_form import is_digest

from .errors import DeskError, answer
from .store import Store

PREFIX = "api/1/uploads"
MOST_BYTES = 256 << 20  # as of a picture in a visit folder
KEEP_DAYS = 5
SPARE_BYTES = 512 << 20  # of the disk, left for the database and the reports
MEND = "send Upload-Metadata with filename, filetype and sha256"


class OnDisk(LocalFileStorage):  # type: ignore[misc]
    """Uploads as plain files, written as they come; the offset is what lies on disk."""

    async def append(self, uid: str, chunk: bytes) -> None:
        def do() -> None:
            with Path(self._path(uid)).open("ab") as file:
                file.write(chunk)

        await asyncio.to_thread(do)

    async def flush(self, uid: str) -> None:
        def do() -> None:
            with Path(self._path(uid)).open("ab") as file:
                os.fsync(file.fileno())

        await asyncio.to_thread(do)

    async def read_info(self, uid: str) -> dict[str, Any] | None:
        info: dict[str, Any] | None = await super().read_info(uid)
        if info is not None:
            info["offset"] = await self.size(uid)
        return info


class Uploads:
    """The doors of uploads, and what happens when one is complete."""

    def __init__(self, store: Store, arrived: Callable[[str], None]) -> None:
        self._store, self._arrived = store, arrived
        self._folder = store.root / "uploads"

    def router(self) -> APIRouter:
        async def complete(path: str, metadata: dict[str, str]) -> None:  # functions: the library copies its options,
            await self._complete(path, metadata)  # and a bound method would take the store along

        def before(metadata: dict[str, str], about: dict[str, Any]) -> None:
            self._before(metadata, about)

        made: APIRouter = create_tus_router(
            prefix=PREFIX,
            files_dir=str(self._folder),
            max_size=MOST_BYTES,
            days_to_keep=KEEP_DAYS,
            on_upload_complete=complete,
            pre_create_hook=before,
            storage=OnDisk(str(self._folder)),
        )
        return made

    def _before(self, metadata: dict[str, str], about: dict[str, Any]) -> None:
        """What may be uploaded at all. Raises DeskError."""
        if missing := [key for key in ("filename", "filetype", "sha256") if not metadata.get(key)]:
            raise DeskError(400, f"Upload-Metadata has no {missing[0]}", MEND, missing[0])
        if not is_digest(metadata["sha256"]):
            raise DeskError(400, "sha256 is not 64 hex digits", MEND, "sha256")
        size = about.get("size")
        if not isinstance(size, int) or size < 1:
            raise DeskError(400, "Upload-Length is no number from 1", "an empty file is not taken", "Upload-Length")
        if size > MOST_BYTES:
            raise DeskError(
                413, f"the file has {size:,} bytes; at most {MOST_BYTES:,} are taken", "send a smaller copy"
            )
        if shutil.disk_usage(self._folder).free < size + SPARE_BYTES:
            raise DeskError(507, "the server's disk is full", "keep the file on the phone; free some room")

    async def _complete(self, path: str, metadata: dict[str, str]) -> None:
        """File the bytes under their digest. Raises HTTPException 460 where they are not what was announced."""
        at, digest = Path(path), metadata.get("sha256", "")
        if not at.exists():
            return  # the same last PATCH again
        if not await asyncio.to_thread(self._store.keep_media, at, digest):
            self._forget(at)
            raise HTTPException(460, f"the bytes are not those of {digest}; the upload is thrown away")
        self._forget(at)
        self._arrived(digest)

    def _forget(self, at: Path) -> None:
        at.unlink(missing_ok=True)
        at.with_name(f"{at.name}.info").unlink(missing_ok=True)

    def finish(self) -> list[str]:
        """After a start: file what was complete when the server ended. The digests that came of it."""
        out = []
        for note in sorted(self._folder.glob("*.info")):
            at = note.with_suffix("")
            try:
                info = json.loads(note.read_text(encoding="utf-8"))
                whole = at.stat().st_size == info["size"]
                digest = info["metadata"]["sha256"]
            except (OSError, ValueError, KeyError, TypeError):
                continue  # it goes on, or it expires
            if whole:
                if self._store.keep_media(at, digest):
                    out.append(digest)
                else:
                    logging.getLogger("kingpost.desk").warning("an upload of %s was not what it said", digest)
                self._forget(at)
        return out


class Plain:
    """Bytes come by PATCH only: a body at POST would not be checked by the library when it is the whole file."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and scope["method"] == "POST" and scope["path"].startswith(f"/{PREFIX}"):
            headers = dict(scope["headers"])
            if headers.get(b"content-length", b"0") != b"0" or b"transfer-encoding" in headers:
                told = answer(400, "a new upload carries no bytes", "send them by PATCH")
                await told(scope, receive, send)
                return
            if b"upload-concat" in headers:
                await answer(400, "uploads are not joined here", "send each file by itself")(scope, receive, send)
                return
        await self.app(scope, receive, send)
