"""The visit folder of the server, kept up to date: journals, recordings and pictures where its reader looks."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from kingpost.visit import VisitError
from kingpost.visit.errors import Troubles
from kingpost.visit.fold import Folded, fold
from kingpost.visit.house import read as read_house
from kingpost.visit.journal import load, union
from kingpost.visit.journal_form import Event, event, loads

from .errors import DeskError
from .store import Store


def lay_out(store: Store, visit: str) -> Folded:
    """Bring the folder up to what the database and the media hold; nothing is ever taken out of it."""
    folder = store.folder(visit)
    for device, lines in store.lines(visit).items():
        _journal(folder / "journal" / f"{device}.jsonl", lines)
    folded = fold(union(store.every(visit)))
    for take in folded.takes:
        digests = [digest for _, digest, _ in take.pieces if store.has_media(digest)]
        if digests and take.pieces[0][1] == digests[0]:  # without its head a stream cannot be played
            _joined(store, folder / take.file, digests)
    for shot in folded.shots:
        at = folder / shot.file
        if not at.exists() and store.has_media(shot.media):
            at.parent.mkdir(exist_ok=True)
            _linked(store.media_at(shot.media), at)
    return folded


def _journal(path: Path, lines: list[str]) -> None:
    """One journal's file: first what stood there that is no event of ours, then its events."""
    before = path.read_bytes() if path.exists() else b""
    text = "".join(f"{line}\n" for line in lines).encode()
    if text == before:
        return
    if text.startswith(before):  # the usual: some events more
        written(path, text)
        return
    text = b"".join(line + b"\n" for line in before.split(b"\n") if line.strip() and not _is_event(line)) + text
    if text != before:
        written(path, text)


def _is_event(line: bytes) -> bool:
    try:
        event(loads(line.decode()))
    except ValueError:
        return False
    return True


def _joined(store: Store, path: Path, digests: list[str]) -> None:
    """The pieces of a recording as one file; it is written only when a piece has come."""
    mark = path.parents[1].parent / "takes" / f"{path.name}.json"
    if path.exists() and (not mark.exists() or json.loads(mark.read_text()) == digests):
        return  # up to date, or it came whole with an imported visit
    path.parent.mkdir(parents=True, exist_ok=True)
    mark.parent.mkdir(exist_ok=True)
    part = mark.with_suffix(".part")
    with part.open("wb") as out:
        for digest in digests:
            with store.media_at(digest).open("rb") as piece:
                shutil.copyfileobj(piece, out)
    part.replace(path)
    written(mark, json.dumps(digests).encode())


def _linked(source: Path, at: Path) -> None:
    try:
        os.link(source, at)
    except OSError:  # another disk, or one that has no links
        part = at.with_name(f".{at.name}.part")
        shutil.copyfile(source, part)
        part.replace(at)


def written(path: Path, content: bytes) -> None:
    """A whole file or none of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    with part.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    part.replace(path)


# visit.toml


def set_facts(store: Store, visit: str, toml: str) -> str:
    """Write visit.toml; the name of the house. Raises DeskError where it cannot be used."""
    part = store.root / "tmp" / f"facts-{visit}"
    part.mkdir(exist_ok=True)
    try:
        written(part / "visit.toml", toml.encode())
        told = Troubles()
        facts = read_house(part, told)
    except VisitError as err:
        first = err.troubles[0]
        where = f"{first.file}:{first.line}" if first.line else first.file
        raise DeskError(422, first.problem, first.mend, where) from None
    finally:
        shutil.rmtree(part, ignore_errors=True)
    written(store.folder(visit) / "visit.toml", toml.encode())
    return facts.name


def as_toml(tables: Mapping[str, Any]) -> str:
    """Tables of plain values as TOML. Raises DeskError for what cannot be written."""
    out = []
    for table, values in tables.items():
        rows = values if isinstance(values, list) else [values]
        head = f"[[{_key(table)}]]" if isinstance(values, list) else f"[{_key(table)}]"
        for row in rows:
            if not isinstance(row, dict):
                raise DeskError(400, f'"{table}" is not a table of visit.toml', 'send {"house": {...}}', table)
            out += [head, *(f"{_key(k)} = {_value(v, f'{table}.{k}', k)}" for k, v in row.items() if v is not None), ""]
    text = "\n".join(out)
    tomllib.loads(text)
    return text


def _key(key: str) -> str:
    return key if key.replace("_", "").replace("-", "").isalnum() and key.isascii() else json.dumps(key)


def _value(value: Any, where: str, key: str) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        if key in ("started", "taken"):
            try:
                return str(tomllib.loads(f"x = {value}")["x"].isoformat())
            except (tomllib.TOMLDecodeError, AttributeError):
                pass
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return "[" + ", ".join(_value(v, where, "") for v in value) + "]"
    raise DeskError(400, f"{where} cannot be written in visit.toml", "send texts, numbers, true, false or lists", where)


# coming in


def bring_in(store: Store, visit: str, source: Path) -> int:
    """A visit folder of this machine, copied into the server's own; how many events came with it."""
    folder = store.folder(visit)
    if not folder.exists():
        part = folder.with_name("folder.part")
        shutil.rmtree(part, ignore_errors=True)
        shutil.copytree(source, part, symlinks=False)
        part.replace(folder)
    told = Troubles()
    facts = read_house(folder, told)
    store.add_visit(visit, facts.name or visit)
    at = folder / "journal"
    files = [(p, f"journal/{p.name}") for p in sorted(at.glob("*.jsonl"))] if at.is_dir() else []
    events: tuple[Event, ...] = load(files, told).events
    _take_media(store, folder, events)
    return len(store.take(visit, events))


def _take_media(store: Store, folder: Path, events: tuple[Event, ...]) -> None:
    """The pictures of an imported visit by content, so that no device sends them again."""
    wanted = {e.body.get("media") for e in events if e.kind == "photo"}
    for path in sorted((folder / "photos").glob("*")) if wanted else []:
        digest = hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
        if digest in wanted and not store.has_media(digest):
            part = store.root / "tmp" / digest
            shutil.copyfile(path, part)
            store.keep_media(part, digest)
