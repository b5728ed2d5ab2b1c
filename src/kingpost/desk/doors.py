"""The doors of a visit: making one, its events, its facts, judging, the export."""

from __future__ import annotations

import asyncio
import re
import shutil
import zipfile
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from starlette.background import BackgroundTask
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse

from kingpost.visit.journal_form import MOST_BYTES, Event, NoEvent, event, is_digest, loads

from .errors import DeskError
from .layout import as_toml, lay_out, set_facts
from .reports import NoReport
from .state import Desk
from .store import media, now_ms

MOST_EVENTS = 1000
MOST_ASKED = 10_000
TOML_BYTES = 1 << 20
_VISIT = re.compile(r"[a-z0-9][a-z0-9-]{0,62}[a-z0-9]", re.ASCII)

router = APIRouter(prefix="/api/1")


def desk(request: Request) -> Desk:
    made: Desk = request.app.state.desk
    return made


def known(request: Request, visit: str) -> Desk:
    """The desk, where it has that visit. Raises DeskError."""
    made = desk(request)
    if not _VISIT.fullmatch(visit) or not made.store.has_visit(visit):
        raise DeskError(404, f'there is no visit "{visit[:64]}"', "GET /api/1/visits lists them")
    return made


async def body(request: Request) -> dict[str, Any]:
    """The JSON object that was sent. Raises DeskError."""
    try:
        said = loads((await request.body()).decode())
    except UnicodeDecodeError:
        raise DeskError(400, "the body is not UTF-8", "send JSON in UTF-8") from None
    except ValueError as err:
        raise DeskError(400, f"the body {err}", "send one JSON object") from None
    return said


def about(one: Desk, visit: str) -> dict[str, Any]:
    photos = one.store.ask("SELECT count(DISTINCT media) FROM events WHERE visit = ? AND kind = 'photo'", visit)[0][0]
    at = one.store.folder(visit) / "photos"
    had = sum(1 for p in at.iterdir() if not p.name.startswith(".")) if at.is_dir() else 0
    return {**one.store.summary(visit), "photos": max(photos, had), "started": one.started(visit)}


@router.get("/visits")
def visits(request: Request) -> dict[str, Any]:
    one = desk(request)
    return {"visits": [about(one, visit) for visit in one.store.visits()]}


@router.post("/visits")
async def new_visit(request: Request) -> JSONResponse:
    one, said = desk(request), await body(request)
    visit = said.pop("id", None) or f"v{now_ms():x}"
    if not isinstance(visit, str) or not _VISIT.fullmatch(visit):
        raise DeskError(400, "id is not 2 to 64 of a-z, 0-9 and -", "leave it out, and the server makes one", "id")
    if one.store.has_visit(visit):
        return JSONResponse(await asyncio.to_thread(whole, one, visit))
    toml = said.pop("toml", None)
    if toml is None:
        toml = as_toml({k: v for k, v in said.items() if isinstance(v, (dict, list))} or {"house": {}, "visit": {}})
    name = await asyncio.to_thread(set_facts, one.store, visit, checked_toml(toml))
    await asyncio.to_thread(one.store.add_visit, visit, name or visit)
    return JSONResponse(await asyncio.to_thread(whole, one, visit), status_code=201)


def checked_toml(toml: Any) -> str:
    if not isinstance(toml, str) or len(toml.encode("utf-8", "replace")) > TOML_BYTES:
        raise DeskError(400, "toml is not a text of at most 1 MB", "send the text of visit.toml", "toml")
    return toml


def whole(one: Desk, visit: str) -> dict[str, Any]:
    path = one.store.folder(visit) / "visit.toml"
    return {
        **about(one, visit),
        "heads": one.store.heads(visit),
        "missing_media": one.store.missing_media(visit),
        "judging": one.judging.run(visit).as_json(),
        "toml": path.read_text(encoding="utf-8", errors="replace") if path.exists() else "",
    }


@router.get("/visits/{visit}")
async def one_visit(request: Request, visit: str) -> dict[str, Any]:
    return await asyncio.to_thread(whole, known(request, visit), visit)


@router.put("/visits/{visit}/facts")
async def facts(request: Request, visit: str) -> dict[str, Any]:
    one, said = known(request, visit), await body(request)
    name = await asyncio.to_thread(set_facts, one.store, visit, checked_toml(said.get("toml")))
    await asyncio.to_thread(one.store.rename, visit, name or visit)
    one.hub.tell(visit, "facts", {})
    one.judging.ask(visit)
    return await asyncio.to_thread(whole, one, visit)


@router.post("/visits/{visit}/events")
async def take(request: Request, visit: str) -> dict[str, Any]:
    one, said = known(request, visit), await body(request)
    sent = said.get("events")
    if not isinstance(sent, list):
        raise DeskError(400, "events is not a list", 'send {"events": [...]}', "events")
    if len(sent) > MOST_EVENTS:
        raise DeskError(413, f"{len(sent):,} events at once; at most {MOST_EVENTS:,} are taken", "send fewer", "events")
    good, odd = sorted_out(sent)
    new = await asyncio.to_thread(one.store.take, visit, good)
    if new:
        for n, e in await asyncio.to_thread(one.store.events, visit, new[0] - 1, new[-1] - new[0] + 1):
            one.hub.tell(visit, "event", {"n": n, "event": e.whole})
        one.judging.ask(visit)
    devices = {e.device for e in good}
    return {
        "took": len(new),
        "had": len(good) - len(new),
        "odd": odd,
        "heads": await asyncio.to_thread(one.store.heads, visit, devices),
        "missing_media": sorted({m for e in good if (m := media(e)) and not one.store.has_media(m)}),
        "cursor": await asyncio.to_thread(one.store.cursor, visit),
    }


def sorted_out(sent: list[Any]) -> tuple[list[Event], list[dict[str, str]]]:
    good: list[Event] = []
    odd = []
    for i, one in enumerate(sent):
        try:
            good.append(event(one))
        except NoEvent as err:
            mend = f"docs/journal.md says what an event is; it has at most {MOST_BYTES:,} bytes"
            odd.append({"where": f"events[{i}]", "problem": str(err), "mend": mend})
    return good, odd


@router.get("/visits/{visit}/events")
def events(request: Request, visit: str, after: int = 0, most: int = MOST_EVENTS) -> dict[str, Any]:
    one = known(request, visit)
    most = min(max(most, 1), MOST_EVENTS)
    rows = one.store.events(visit, after, most + 1)
    shown = rows[:most]
    return {
        "events": [{"n": n, "event": e.whole} for n, e in shown],
        "cursor": shown[-1][0] if shown else after,
        "more": len(rows) > most,
    }


@router.get("/visits/{visit}/live")
async def live(request: Request, visit: str, after: int | None = None) -> StreamingResponse:
    one = known(request, visit)
    last = request.headers.get("last-event-id", "")
    since = int(last) if last.isdigit() else after if after is not None else await asyncio.to_thread(
        one.store.cursor, visit)  # fmt: skip
    if one.judging.run(visit).state == "none":
        one.judging.ask(visit)  # somebody sits down: what was heard is in memory before the first decision comes
    told = one.hub.stream(one.store, visit, since, one.judging.run(visit).as_json())
    headers = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
    return StreamingResponse(told, media_type="text/event-stream", headers=headers)


@router.get("/visits/{visit}/judging")
async def judging(request: Request, visit: str) -> dict[str, Any]:
    return known(request, visit).judging.run(visit).as_json()


@router.post("/visits/{visit}/judge")
async def judge(request: Request, visit: str) -> JSONResponse:
    return JSONResponse(known(request, visit).judging.ask(visit).as_json(), status_code=202)


@router.get("/visits/{visit}/record")
async def record(request: Request, visit: str, wait: bool = False) -> Response:
    one = known(request, visit)
    run = await one.judging.current(visit) if wait else one.judging.run(visit)
    path = one.store.folder(visit).parent / "record.json"
    if not path.exists():
        if run.state in ("none", "done"):
            one.judging.ask(visit)
        raise DeskError(404, run.trouble or "there is no record yet", "ask again when /judging says done")
    headers = {"X-Kingpost-Cursor": str(run.cursor), "Cache-Control": "no-cache"}
    if run.etag:
        headers["ETag"] = f'"{run.etag}"'
        if request.headers.get("if-none-match") == headers["ETag"]:
            return Response(status_code=304, headers=headers)
    return Response(await asyncio.to_thread(path.read_bytes), media_type="application/json", headers=headers)


@router.get("/visits/{visit}/report.html")
async def report_html(request: Request, visit: str) -> Response:
    return await _report(known(request, visit), visit, pdf=False)


@router.get("/visits/{visit}/report.pdf")
async def report_pdf(request: Request, visit: str) -> Response:
    return await _report(known(request, visit), visit, pdf=True)


async def _report(one: Desk, visit: str, pdf: bool) -> Response:
    try:
        path = await one.reports.current(visit, pdf)
    except NoReport as why:
        raise DeskError(422, str(why), "look at /judging") from None
    return FileResponse(path, headers={"Cache-Control": "no-store"})


@router.get("/visits/{visit}/export")
async def export(request: Request, visit: str) -> Response:
    """The folder as it was judged: nothing new is laid into it while it is packed."""
    one = known(request, visit)
    run = await one.judging.current(visit)
    if run.state == "failed":
        await asyncio.to_thread(lay_out, one.store, visit)
    part = one.store.root / "tmp" / f"{visit}-{now_ms()}.zip"
    await asyncio.to_thread(packed, one.store.folder(visit), part, visit)
    done = BackgroundTask(part.unlink, missing_ok=True)
    return FileResponse(part, media_type="application/zip", filename=f"{visit}.zip", background=done)


def packed(folder: Path, to: Path, name: str) -> None:
    """A folder as a zip: hearings with it, so that every machine makes the same of it."""
    with zipfile.ZipFile(to, "w", zipfile.ZIP_STORED) as out:
        for path in sorted(folder.rglob("*")):
            inside = path.relative_to(folder)
            if path.is_file() and not path.name.endswith(".part"):
                held = zipfile.ZipInfo(f"{name}/{inside.as_posix()}", (2000, 1, 1, 0, 0, 0))
                held.external_attr = 0o644 << 16
                with path.open("rb") as source, out.open(held, "w", force_zip64=True) as file:
                    shutil.copyfileobj(source, file)


@router.post("/media/have")
async def have(request: Request) -> dict[str, Any]:
    one, said = desk(request), await body(request)
    asked = said.get("media")
    if not isinstance(asked, list) or len(asked) > MOST_ASKED or not all(is_digest(m) for m in asked):
        raise DeskError(400, f"media is not a list of at most {MOST_ASKED:,} digests", "send SHA-256 in hex", "media")
    held = await asyncio.to_thread(lambda: {m for m in asked if one.store.has_media(m)})
    return {"have": [m for m in asked if m in held], "missing": [m for m in asked if m not in held]}
