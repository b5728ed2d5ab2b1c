"""Single facts of visit.toml, asked and written one at a time; the rest of the file stays as it is, comments too."""

from __future__ import annotations

import asyncio
import json
import re
import tomllib
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request

from kingpost.judge.findings import digest
from kingpost.trade.duties import duties

from .doors import body, known
from .errors import DeskError
from .layout import set_facts

MOST_LETTERS = 500

router = APIRouter(prefix="/api/1")


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact that the form asks for. `takes` is text, moment or yes."""

    need: str
    name: str
    takes: str
    hint: str = ""

    @property
    def at(self) -> tuple[str, str]:
        table, _, key = self.need.partition(".")
        return table, key


@cache
def asked() -> dict[str, Fact]:
    """By what preflight needs."""
    data = resources.files("kingpost.desk").joinpath("facts.toml").read_text(encoding="utf-8")
    return {row["need"]: Fact(**row) for row in tomllib.loads(data)["fact"]}


@router.get("/visits/{visit}/facts")
async def facts(request: Request, visit: str) -> dict[str, Any]:
    one = known(request, visit)
    return {"facts": await asyncio.to_thread(lambda: listed(_text(one.store.folder(visit))))}


@router.put("/visits/{visit}/facts/{need}")
async def put(request: Request, visit: str, need: str) -> dict[str, Any]:
    one, said = known(request, visit), await body(request)
    fact = asked().get(need)
    if fact is None:
        raise DeskError(404, f'"{need[:64]}" is no fact of the form', f"write one of {', '.join(asked())}")
    had = await asyncio.to_thread(_text, one.store.folder(visit))
    toml = with_value(had, *fact.at, as_value(fact, said.get("value"), had))
    name = await asyncio.to_thread(set_facts, one.store, visit, toml)
    await asyncio.to_thread(one.store.rename, visit, name or visit)
    one.hub.tell(visit, "facts", {})
    one.judging.ask(visit)
    return {"facts": await asyncio.to_thread(listed, toml)}


def listed(toml: str) -> list[dict[str, Any]]:
    """Every fact of the form with what visit.toml says, and the matter by which preflight asks for it."""
    told = {table: rows for table, rows in tomllib.loads(toml).items() if isinstance(rows, dict)}
    rules = {rule.need: rule.id for rule in duties().formal.values()}
    return [
        {
            "need": f.need,
            "name": f.name,
            "takes": f.takes,
            "hint": f.hint,
            "value": _shown(told.get(f.at[0], {}).get(f.at[1])),
            "matter": digest("m", "formal", rules[f.need]),
        }
        for f in asked().values()
    ]


def _shown(value: Any) -> str:
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, bool):
        return "yes" if value else ""
    return "" if value is None else str(value)


def _text(folder: Path) -> str:
    path = folder / "visit.toml"
    return path.read_text(encoding="utf-8") if path.exists() else ""


def as_value(fact: Fact, said: Any, toml: str) -> str:
    """What was sent as TOML writes it. Raises DeskError."""
    if fact.takes == "yes":
        if not isinstance(said, bool):
            raise DeskError(400, f"{fact.need} is yes or no", "send true or false", "value")
        return "true" if said else "false"
    text = said.strip() if isinstance(said, str) else ""
    if not text or len(text) > MOST_LETTERS:
        raise DeskError(400, f"{fact.need} is no text of 1 to {MOST_LETTERS} letters", "write it out", "value")
    if fact.takes == "text":
        return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise DeskError(400, f'"{text[:40]}" is no day and hour', "write it as 2026-05-12T08:30", "value") from None
    if moment.tzinfo is None:  # an hour at the house: the offset at which the inspection began
        began = tomllib.loads(toml).get("visit", {}).get("started")
        moment = moment.replace(tzinfo=began.tzinfo if isinstance(began, datetime) else None)
    return moment.isoformat()


def with_value(toml: str, table: str, key: str, value: str) -> str:
    """The text with one key of one table set. Raises DeskError where the key cannot be found as a line of its own."""
    lines = toml.splitlines(keepends=True)
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    new = f"{key} = {value}\n"
    head = next((n for n, line in enumerate(lines) if re.match(rf"\s*\[\s*{table}\s*\]\s*(#.*)?$", line)), None)
    if head is None:
        lines += ["\n"] * bool(lines) + [f"[{table}]\n", new]
    else:
        end = next((n for n in range(head + 1, len(lines)) if lines[n].lstrip().startswith("[")), len(lines))
        old = next((n for n in range(head + 1, end) if re.match(rf"\s*{key}\s*=", lines[n])), None)
        lines[head + 1 if old is None else old : head + 1 if old is None else old + 1] = [new]
    made = "".join(lines)
    if not _only(toml, made, table, key, value):
        raise DeskError(
            422,
            f"visit.toml is written in a way in which {key} cannot be set here",
            f"write {key} = {value} under [{table}] yourself",
        )
    return made


def _only(before: str, after: str, table: str, key: str, value: str) -> bool:
    """Whether nothing else has changed."""
    try:
        had, has = tomllib.loads(before), tomllib.loads(after)
    except tomllib.TOMLDecodeError:
        return False
    had.setdefault(table, {})
    return bool(has == {**had, table: {**had[table], key: tomllib.loads(f"x = {value}")["x"]}})
