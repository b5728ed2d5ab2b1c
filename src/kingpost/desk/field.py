"""The doors that the field screen takes its kit from while there is a network (docs/app.md)."""

from __future__ import annotations

import asyncio
import hashlib
from functools import lru_cache
from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import Response

from kingpost.visit.errors import Troubles, VisitError
from kingpost.visit.facts import Facts
from kingpost.visit.house import read

from . import kit
from .doors import known, router

core_router = APIRouter()
FRESH = {"Cache-Control": "no-cache"}


@router.get("/kit")
async def general() -> Response:
    return Response(await asyncio.to_thread(_general), media_type="application/json", headers=FRESH)


@router.get("/visits/{visit}/kit")
async def house(request: Request, visit: str) -> Response:
    folder = known(request, visit).store.folder(visit)
    return Response(await asyncio.to_thread(_of, folder), media_type="application/json", headers=FRESH)


@core_router.get("/core.zip")
async def core(request: Request) -> Response:
    packed, tag = await asyncio.to_thread(_core)
    headers = {**FRESH, "ETag": tag}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return Response(packed, media_type="application/zip", headers=headers)


def _general() -> bytes:
    return kit.as_json(kit.general())


def _core() -> tuple[bytes, str]:
    packed = kit.core()
    return packed, f'"{hashlib.sha256(packed).hexdigest()[:32]}"'


def _of(folder: Path) -> bytes:
    path = folder / "visit.toml"
    stamp = path.stat().st_mtime_ns if path.exists() else 0
    return _made(folder, stamp)


@lru_cache(maxsize=32)
def _made(folder: Path, stamp: int) -> bytes:
    """A kit takes a second to make; it is kept as long as visit.toml stays as it is."""
    del stamp
    try:
        facts = read(folder, Troubles())
    except VisitError:
        facts = Facts()  # what can be said of any house
    return kit.as_json(kit.house(facts))
