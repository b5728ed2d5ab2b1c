"""The server as one application."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response

from kingpost import __version__
from kingpost.visit.journal_form import MOST_BYTES as EVENT_BYTES
from kingpost.visit.journal_form import VERSION

from . import doors, errors, facts_form, field, sights, uploads
from .doors import body, desk
from .errors import DeskError
from .guard import BODY_BYTES, COOKIE, Guard, Pairing, code
from .judging import Judging
from .live import Hub
from .reports import Reports
from .state import Desk
from .store import Store, now_ms

WEB = Path(__file__).parent / "web"  # the built app; it travels inside the package
BARE = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>Kingpost</title>'
    "<p>The server runs. The app is not built into this copy of Kingpost; its doors are under /api/1.</p>"
)
KEY_AGE_S = 180 * 86_400


def make(root: Path, *, local: bool = True, address: str = "", secure: bool = False, web: Path = WEB) -> FastAPI:
    """The application that keeps its visits in a folder.

    local    only this machine may come in, without a key
    address  as a phone would open it, for pairing
    secure   it is reached over TLS
    """
    store, hub = Store(root), Hub()
    judging = Judging(store, hub.tell)
    pairing = Pairing(store)
    one = Desk(store, hub, judging, Reports(store, judging), pairing, local, address)
    up = uploads.Uploads(store, one.arrived)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        for digest in await asyncio.to_thread(up.finish):
            one.arrived(digest)
        yield
        await one.end()

    app = FastAPI(title="Kingpost", version=__version__, lifespan=life, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.desk = one
    errors.install(app)
    app.include_router(up.router())
    _common(app, secure)
    app.include_router(doors.router)
    app.include_router(facts_form.router)
    app.include_router(sights.router)
    app.include_router(field.core_router)
    _files(app, web)
    app.add_middleware(uploads.Plain)
    app.add_middleware(Guard, pairing=pairing, local=local)
    return app


def _common(app: FastAPI, secure: bool) -> None:
    @app.get("/api/1/about")
    async def about(request: Request) -> dict[str, Any]:
        one = desk(request)
        limits = {"event_bytes": EVENT_BYTES, "events": doors.MOST_EVENTS, "body_bytes": BODY_BYTES,
                  "media_bytes": uploads.MOST_BYTES}  # fmt: skip
        key = request.cookies.get(COOKIE, "") or request.headers.get("authorization", "").partition(" ")[2]
        return {
            "kingpost": __version__,
            "api": 1,
            "journal": VERSION,
            "now_ms": now_ms(),
            "needs_pairing": not one.local,
            "paired": one.local or (bool(key) and one.pairing.knows(key)),
            "limits": limits,
        }

    @app.post("/api/1/pair")
    async def pair(request: Request) -> JSONResponse:
        one, said = desk(request), await body(request)
        token, name = said.get("token"), said.get("name")
        if not isinstance(token, str) or not isinstance(name, str) or not name.strip():
            raise DeskError(400, "token or name is missing", 'send {"token": ..., "name": "phone"}')
        key = await asyncio.to_thread(one.pairing.pair, token, name.strip())
        told = JSONResponse({"key": key, "name": name.strip()[:80]})
        told.set_cookie(COOKIE, key, max_age=KEY_AGE_S, httponly=True, samesite="strict", secure=secure, path="/")
        return told

    @app.post("/api/1/pair/new")
    async def new(request: Request) -> dict[str, Any]:
        one = desk(request)
        token, until = await asyncio.to_thread(one.pairing.token)
        address = f"{one.address or str(request.base_url).rstrip('/')}/#pair={token}"
        return {"token": token, "address": address, "svg": code(address), "until_ms": until}

    @app.get("/api/1/pairs")
    def pairs(request: Request) -> dict[str, Any]:
        rows = desk(request).store.ask("SELECT id, name, since_ms, seen_ms FROM pairs ORDER BY since_ms")
        return {"pairs": [dict(zip(("id", "name", "since_ms", "seen_ms"), row, strict=True)) for row in rows]}

    @app.delete("/api/1/pairs/{pair_id}", status_code=204)
    def unpair(request: Request, pair_id: str) -> None:
        with desk(request).store.change() as db:
            if not db.execute("DELETE FROM pairs WHERE id = ?", (pair_id,)).rowcount:
                raise DeskError(404, "no such device is paired", "GET /api/1/pairs lists them", pair_id[:80])


def _files(app: FastAPI, web: Path) -> None:
    """The app's own files; every other address outside /api is the app too, which finds its way by itself."""

    @app.get("/{rest:path}")
    async def files(rest: str) -> Response:
        if rest.startswith("api/"):
            raise DeskError(404, "nothing is at this address", where=f"/{rest}"[:200])
        at = web.joinpath(*Path(rest).parts) if rest and ".." not in Path(rest).parts else web / "index.html"
        if rest and not at.is_file() and Path(rest).suffix:
            raise DeskError(404, "nothing is at this address", where=f"/{rest}"[:200])
        at = at if at.is_file() else web / "index.html"
        if not at.is_file():
            return HTMLResponse(BARE)
        stays = rest.startswith("assets/")  # their names change with their content
        age = "public, max-age=31536000, immutable" if stays else "no-cache"
        return FileResponse(at, headers={"Cache-Control": age, "X-Content-Type-Options": "nosniff"})
