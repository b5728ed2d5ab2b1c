"""What can be looked at: the fold, the words on the time axis, files, pictures, waveforms, checks."""

from __future__ import annotations

import asyncio
import hashlib
import mimetypes
import secrets
from dataclasses import asdict
from datetime import datetime
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import FileResponse, JSONResponse, Response

from kingpost.trade.reading import TradeError
from kingpost.visit import VisitError, read, sound
from kingpost.visit.errors import Troubles
from kingpost.visit.fold import Noted, fold
from kingpost.visit.journal import load, union
from kingpost.visit.journal_clock import from_at
from kingpost.visit.journal_form import is_digest
from kingpost.visit.walks import AUDIO

from .doors import body, desk, known
from .errors import DeskError
from .peaks import waveform

SHOWN = ("walk", "photos", "thermal")
SIZES = (320, 1600)

router = APIRouter(prefix="/api/1")


@router.get("/visits/{visit}/fold")
def folded(request: Request, visit: str) -> dict[str, Any]:
    one = known(request, visit)
    made = fold(union([e for _, e in one.store.events(visit)]))
    return {
        **{f"{kind}{'es' if kind == 'pass' else 's'}": [noted(n) for n in made.of(kind)] for kind in (
            "hold", "gate", "pass", "mark", "limit", "tick")},
        "places": [noted(n) for n in made.places],
        "readings": [noted(n) for n in made.readings],
        "loops": [plain(asdict(loop)) for loop in made.loops],
        "takes": [plain(asdict(take)) for take in made.takes],
        "photos": [{**plain(asdict(s)), "here": one.store.has_media(s.media)} for s in made.shots],
        "devices": made.devices,
        "history": [
            {"id": d.id, "subject": d.subject, "verb": d.verb, "at": d.at, "device": d.device, **d.fields}
            for d in made.decisions
        ],
        "undone": sorted(made.undone),
        "trouble": [asdict(t) for t in made.trouble],
    }  # fmt: skip


@router.get("/visits/{visit}/decisions")
def lines(request: Request, visit: str) -> dict[str, Any]:
    """What was decided by lines without a version: decisions.jsonl, as the command line reads it."""
    folder = known(request, visit).store.folder(visit)
    paths = (folder / "decisions.jsonl", *sorted((folder / "journal").glob("*.jsonl")))
    files = [(p, p.relative_to(folder).as_posix()) for p in paths if p.is_file()]
    return {
        "decisions": [
            {**d.fields, "id": d.id, "subject": d.subject, "verb": d.verb, "at": d.at, "hlc": d.clock or from_at(d.at),
             "device": d.device, "file": d.file, "line": d.line}
            for d in load(files, Troubles()).decisions
        ]
    }  # fmt: skip


@router.get("/visits/{visit}/catalogue")
def catalogue(request: Request, visit: str) -> dict[str, Any]:
    """What a finding can be made of by hand: the conditions of the trade, the visit's own laid over them."""
    from kingpost.trade.load import trade

    own = known(request, visit).store.folder(visit) / "trade"
    try:
        made = trade(*((own,) if own.is_dir() else ()))
    except TradeError as err:
        raise DeskError(422, str(err.faults[0]), "mend the trade data of the visit", "trade/") from None
    return {
        "conditions": [
            {"id": c.id, "title": c.title, "part": made.components[c.component].name,
             "also": [made.components[p].name for p in c.also]}
            for c in made.conditions.values()
        ]
    }  # fmt: skip


def noted(n: Noted) -> dict[str, Any]:
    return {**n.body, "id": n.id, "at": n.at.isoformat(), "device": n.device, "who": n.who, "place": n.place}


def plain(thing: Any) -> Any:
    if isinstance(thing, dict):
        return {k: plain(v) for k, v in thing.items()}
    if isinstance(thing, (list, tuple)):
        return [plain(v) for v in thing]
    return thing.isoformat() if isinstance(thing, datetime) else thing


@router.get("/visits/{visit}/words")
def words(request: Request, visit: str) -> dict[str, Any]:
    one = known(request, visit)
    folder = one.store.folder(visit)
    try:
        made = read(folder, folder / sound.FOLDER)
    except VisitError as err:
        first = err.troubles[0]
        raise DeskError(422, first.problem, first.mend, first.file) from None
    sounds = {p.stem: f"walk/{p.name}" for p in (folder / "walk").glob("*") if p.suffix.lower() in AUDIO}
    start = made.facts.started
    return {
        "walks": [
            {
                "source": w.source,
                "started": w.started.isoformat() if w.started else None,
                "offset_s": (w.started - start).total_seconds() if w.started and start else 0.0,
                "sound": sounds.get(PurePosixPath(w.source).stem) if w.source.startswith("walk/") else None,
                "cues": [
                    {
                        "start": c.start,
                        "end": c.end,
                        "text": c.text,
                        "speaker": c.speaker,
                        "words": [[t, s.start, s.end, s.sure] for t, s in zip(c.text.split(), c.words, strict=False)],
                    }
                    for c in w.cues
                ],
            }
            for w in made.walks
        ]
    }


def inside(folder: Path, name: str) -> Path:
    """A file of the visit folder that may be shown. Raises DeskError."""
    parts = PurePosixPath(name).parts
    at = folder.joinpath(*parts) if parts and parts[0] in SHOWN and ".." not in parts else None
    if at is None or not at.resolve().is_relative_to(folder.resolve()) or not at.is_file():
        raise DeskError(404, f"{name[:200]} is not in the visit", f"files of {', '.join(SHOWN)} are shown", name[:200])
    return at


@router.get("/visits/{visit}/files/{name:path}")
async def file(request: Request, visit: str, name: str, size: int | None = None) -> Response:
    one = known(request, visit)
    at = inside(one.store.folder(visit), name)
    if size is None:
        return shown(at, mimetypes.guess_type(at.name)[0])
    digest = await asyncio.to_thread(_digest, str(at), at.stat().st_mtime_ns)
    return await copied(at, digest, size, one.store.root / "tmp", name)


@lru_cache(maxsize=4096)
def _digest(path: str, _changed: int) -> str:
    with Path(path).open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def shown(at: Path, kind: str | None) -> FileResponse:
    """A file as data: nothing that was uploaded runs in the app's page."""
    safe = kind if kind and kind.startswith(("image/", "audio/", "video/")) and "svg" not in kind else None
    headers = {"X-Content-Type-Options": "nosniff", "Content-Security-Policy": "sandbox; default-src 'none'"}
    return FileResponse(at, media_type=safe or "application/octet-stream", headers=headers)


@router.get("/visits/{visit}/peaks/{name:path}")
async def peaks(request: Request, visit: str, name: str, per_s: float = 10.0) -> dict[str, Any]:
    one = known(request, visit)
    at = inside(one.store.folder(visit), name)
    if at.suffix.lower() not in AUDIO or not 0.1 <= per_s <= 100:
        raise DeskError(422, "is no sound, or per_s is not from 0.1 to 100", "ask for a file of walk/", name)
    return await waveform(at, per_s, one.store.folder(visit).parent / "peaks")


@router.get("/media/{digest}")
@router.head("/media/{digest}")
async def media(request: Request, digest: str, size: int | None = None) -> Response:
    one = desk(request)
    if not is_digest(digest) or not one.store.has_media(digest):
        raise DeskError(404, "these bytes are not on the server", "upload them", digest[:64])
    at = one.store.media_at(digest)
    if size is None:
        with at.open("rb") as opened:
            return shown(at, _kind(opened.read(16)))
    return await copied(at, digest, size, one.store.root / "tmp", digest)


async def copied(at: Path, digest: str, size: int, tmp: Path, where: str) -> Response:
    """A picture's copy: upright, and without data about it. Raises DeskError."""
    if size not in SIZES:
        raise DeskError(400, "size is not 320 or 1600", "leave it out for the picture itself", "size")
    copy = await asyncio.to_thread(_copy, at, digest, size, tmp)
    if copy is None:
        raise DeskError(422, "no copy of this picture can be made", "ask for the picture itself", where[:200])
    return FileResponse(copy, media_type="image/jpeg", headers={"Cache-Control": "private, max-age=86400"})


def _kind(head: bytes) -> str:
    starts = ((b"\xff\xd8", "image/jpeg"), (b"\x89PNG", "image/png"), (b"\x1aE\xdf\xa3", "audio/webm"),
              (b"OggS", "audio/ogg"), (b"RIFF", "audio/wav"), (b"ID3", "audio/mpeg"))  # fmt: skip
    if head[4:8] == b"ftyp":
        return "image/heic" if head[8:12] in (b"heic", b"heix", b"mif1") else "audio/mp4"
    return next((kind for mark, kind in starts if head.startswith(mark)), "application/octet-stream")


def _copy(at: Path, digest: str, size: int, tmp: Path) -> Path | None:
    """A small copy, from the store of pictures, made there where it is missing."""
    from kingpost.look.ingest import ingest
    from kingpost.visit.facts import Facts
    from kingpost.visit.photos import ENDINGS
    from kingpost.visit.photos import read as read_photos

    with at.open("rb") as opened:
        kind = _kind(opened.read(16))
    ending = {"image/png": ".png", "image/heic": ".heic"}.get(kind, ENDINGS[0])
    link = tmp / f"{digest}-{secrets.token_hex(6)}{ending}"  # two may ask for the same copy at once
    link.symlink_to(at.resolve())
    try:
        found = read_photos([(link, link.name)], Facts(), Troubles())
        return ingest(tmp, found).copy(found[0], size) if found else None
    finally:
        link.unlink(missing_ok=True)


@router.post("/visits/{visit}/measure")
async def measured(request: Request, visit: str) -> dict[str, Any]:
    """A length between two points of a photo, by the marker card that lies beside it (look.measure)."""
    folder, said = known(request, visit).store.folder(visit), await body(request)
    ends = [share(said.get(k), k) for k in ("from", "to")]
    name = said.get("photo")
    if not isinstance(name, str):
        raise DeskError(400, "photo is no name", "name a picture of the visit: photos/x.jpg", "photo")
    return await asyncio.to_thread(_length, inside(folder, name), ends, name)


def share(said: Any, where: str) -> tuple[float, float]:
    """A point in shares of the upright picture. Raises DeskError."""
    if not isinstance(said, list) or len(said) != 2 or not all(type(v) in (int, float) and 0 <= v <= 1 for v in said):
        raise DeskError(400, f"{where} is no point", "give [x, y], each from 0 to 1", where)
    return float(said[0]), float(said[1])


def _length(at: Path, ends: list[tuple[float, float]], name: str) -> dict[str, Any]:
    from kingpost.commands.measure import PLANE
    from kingpost.look.strip_measure import IN, length
    from kingpost.look.strip_tags import LookMissing, MeasureError, find, open_grey

    try:
        grey = open_grey(at)
        high, wide = grey.shape
        start, end = ((x * wide - 0.5, y * high - 0.5) for x, y in ends)
        made = length(find(grey), start, end)
    except (MeasureError, LookMissing) as err:
        raise DeskError(422, str(err).removeprefix(f"{at}: "), "see docs/looking.md", name[:200]) from None
    doubt = made.doubt_mm / IN
    says = f"{made.inches:.2f} ± {doubt:.2f} in"
    return {"mm": made.mm, "doubt_mm": made.doubt_mm, "inches": made.inches, "doubt_in": doubt, "says": says,
            "note": PLANE}  # fmt: skip


@router.get("/checks")
def checks(request: Request) -> dict[str, Any]:
    return _checks()


@lru_cache(maxsize=1)
def _checks() -> dict[str, Any]:
    from kingpost.judge.registry import registry
    from kingpost.trade.checks import checks as specs

    return {
        "checks": [
            {
                "name": s.id,
                "title": s.title,
                "system": s.system,
                "inputs": [plain({k: getattr(i, k) for k in ("name", "unit", "optional") if hasattr(i, k)})
                           for i in s.inputs],
            }
            for s in specs().values()
            if s.id in registry()
        ]
    }  # fmt: skip


@router.post("/check")
async def check(request: Request) -> Response:
    from kingpost.judge import ask
    from kingpost.judge.values import AskError

    said = await body(request)
    name, pairs = said.get("check"), said.get("inputs", [])
    if not isinstance(name, str) or not isinstance(pairs, list) or not all(isinstance(p, str) for p in pairs):
        raise DeskError(400, "check is no name, or inputs no list of texts", 'send {"check", "inputs": ["a=1in"]}')
    try:
        told = await asyncio.to_thread(ask.run, name, pairs)
    except AskError as err:
        raise DeskError(422, str(err), "GET /api/1/checks lists them", name[:80]) from None
    return Response(told.as_json(), media_type="application/json")


@router.get("/{rest:path}")
def nothing(rest: str) -> JSONResponse:
    raise DeskError(404, "nothing is at this address", "docs/server.md lists the doors", f"/api/1/{rest}"[:200])
