"""Reads TOML tables into frozen dataclasses and reports every fault of every file at once.

The standard TOML reader keeps no line numbers, so a small index of headers and keys restores them.
A dataclass is the schema: its annotations say what may stand in a file, `LIMITS` what a value may be.
"""

from __future__ import annotations

import re
import tomllib
import types
import typing
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
ID = re.compile(r"^[a-z0-9]+(?:[_-][a-z0-9]+)*$")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a data file: where, what, and how to mend it."""

    file: str
    line: int | None
    problem: str
    mend: str

    def __str__(self) -> str:
        at = f"{self.file}:{self.line}" if self.line else self.file
        return f"{at}: {self.problem}; {self.mend}"


class TradeError(ValueError):
    """The trade data cannot be used; `faults` holds every fault found, not only the first."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(f) for f in faults))


class Lines:
    """Where the headers and keys of one TOML file stand."""

    def __init__(self, text: str) -> None:
        self.heads: dict[str, list[int]] = {}
        self.keys: dict[tuple[str, int, str], int] = {}
        here, count = "", 0
        for number, line in enumerate(text.splitlines(), 1):
            if head := re.match(r"^\[\[?\s*([\w.\-\"]+)\s*\]\]?\s*(?:#.*)?$", line):
                here = head[1].strip('"')
                self.heads.setdefault(here, []).append(number)
                count = len(self.heads[here]) - 1
            elif key := re.match(r"^([\w\-]+)\s*=", line):
                self.keys.setdefault((here, count, key[1]), number)

    def of(self, head: str, index: int = 0, key: str | None = None) -> int | None:
        """Line of a key under the index-th header of that name, else of the header, else None."""
        if key is not None and (found := self.keys.get((head, index, key))):
            return found
        at = self.heads.get(head, [])
        return at[index] if index < len(at) else None


def parse(path: Path, name: str, faults: list[Fault]) -> tuple[dict[str, Any], Lines]:
    """The tables of one file and where they stand; an unreadable file is a fault and gives no tables."""
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as err:
        faults.append(Fault(name, None, f"cannot be read ({err.strerror})", "check that the file is there"))
        return {}, Lines("")
    except UnicodeDecodeError:
        faults.append(Fault(name, None, "is not UTF-8 text", "save it as UTF-8"))
        return {}, Lines("")
    try:
        return tomllib.loads(text), Lines(text)
    except tomllib.TOMLDecodeError as err:
        where = re.search(r"line (\d+)", str(err))
        problem = re.sub(r"\s*\(at .*\)$", "", str(err))
        faults.append(Fault(name, int(where[1]) if where else None, problem, "write valid TOML"))
        return {}, Lines(text)


def _says(kind: Any) -> str:
    origin = typing.get_origin(kind)
    if origin is tuple:
        return f"a list of {_says(typing.get_args(kind)[0])}"
    if origin in (types.UnionType, typing.Union):
        return " or ".join(_says(k) for k in typing.get_args(kind) if k is not type(None))
    names = {str: "text", bool: "true or false", int: "a whole number", float: "a number", date: "a date"}
    return names.get(kind, getattr(kind, "__name__", str(kind)))


def _fits(value: Any, kind: Any) -> bool:
    origin = typing.get_origin(kind)
    if origin is tuple:
        inner = typing.get_args(kind)[0]
        return isinstance(value, list) and all(_fits(v, inner) for v in value)
    if origin in (types.UnionType, typing.Union):
        return any(_fits(value, k) for k in typing.get_args(kind) if k is not type(None))
    if kind is Any:
        return True
    if kind is float:
        return isinstance(value, (int, float)) and not isinstance(value, bool)
    if kind is int:
        return isinstance(value, int) and not isinstance(value, bool)
    if origin in (dict, Mapping):
        return isinstance(value, dict)
    return isinstance(value, kind)


@lru_cache(maxsize=256)
def _hints(cls: type) -> dict[str, Any]:
    """What each key of a class may hold; kept, because working it out costs more than reading an entry."""
    return typing.get_type_hints(cls)


def build(
    cls: type[T],
    table: Mapping[str, Any],
    name: str,
    lines: Lines,
    head: str,
    index: int,
    faults: list[Fault],
) -> T | None:
    """One table as one dataclass; every unknown, missing or ill-typed key becomes a fault."""
    hints = _hints(typing.cast(Any, cls))
    known = {f.name: f for f in fields(cls)}  # type: ignore[arg-type]
    limits: Mapping[str, tuple[str, ...]] = getattr(cls, "LIMITS", {})
    start, good, values = len(faults), True, {}
    for key, value in table.items():
        line = lines.of(head, index, key)
        if key not in known:
            close = [k for k in known if k[:3] == key[:3]]
            mend = f"did you mean {close[0]}?" if close else "known: " + ", ".join(sorted(known))
            faults.append(Fault(name, line, f'unknown key "{key}"', mend))
        elif not _fits(value, hints[key]):
            faults.append(Fault(name, line, f"{key} is {value!r}", f"write {_says(hints[key])}"))
        else:
            allowed = limits.get(key)
            for one in (value if isinstance(value, list) else [value]) if allowed else ():
                if allowed and one not in allowed:
                    faults.append(
                        Fault(name, line, f'{key} "{one}" is not known', "write one of " + ", ".join(allowed))
                    )
            values[key] = tuple(value) if isinstance(value, list) else value
    for field in known.values():
        if field.name not in table and field.default is MISSING and field.default_factory is MISSING:
            who = table.get("id", f"entry {index + 1}")
            faults.append(
                Fault(
                    name,
                    lines.of(head, index),
                    f'{head} "{who}" has no {field.name}',
                    f"add {field.name} = ...",
                )
            )
            good = False
    if "id" in values and not ID.match(str(values["id"])):
        faults.append(
            Fault(
                name,
                lines.of(head, index, "id"),
                f'id "{values["id"]}"',
                "use small letters, digits, _ and -",
            )
        )
    return cls(**values) if good and len(faults) == start else None


def files(
    folder: Path, pattern: str, head: str, faults: list[Fault]
) -> Iterator[tuple[str, Lines, list[dict[str, Any]]]]:
    """The `[[head]]` tables of every matching file, in order of name; any other table is a fault."""
    for path in sorted(folder.glob(pattern)):
        name = path.relative_to(folder).as_posix()
        tables, lines = parse(path, name, faults)
        for other in sorted(set(tables) - {head}):
            faults.append(Fault(name, lines.of(other), f'unknown table "{other}"', f"only [[{head}]] stands here"))
        rows = tables.get(head, [])
        if not isinstance(rows, list):
            faults.append(Fault(name, lines.of(head), f"[{head}] stands alone", f"write [[{head}]]"))
            continue
        yield name, lines, rows


def entries(
    folder: Path, pattern: str, head: str, cls: type[T], faults: list[Fault]
) -> Iterator[tuple[T, str, int | None]]:
    """Every `[[head]]` of every matching file, in order of name, with its file and line."""
    for name, lines, rows in files(folder, pattern, head, faults):
        for index, table in enumerate(rows):
            made = build(cls, table, name, lines, head, index, faults)
            if made is not None:
                yield made, name, lines.of(head, index)
