"""Reads entries that hold tables of their own (`[[check]]` with `[[check.input]]`), with the faults of every file.

`reading.entries` knows flat entries; here one file may hold several kinds, and a kind may hold tables within.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from .reading import Fault, Lines, build, files

T = TypeVar("T")
Found = tuple[T, str, int | None]


def nested(
    folder: Path, pattern: str, head: str, cls: type[T], inner: Mapping[str, type], faults: list[Fault]
) -> Iterator[Found[T]]:
    """Every `[[head]]` of every matching file in order of name, its inner tables built as their own classes.

    inner   key of the inner table -> its class; the outer class has a field of the same name plus "s",
            a tuple of them
    """
    for name, lines, rows in files(folder, pattern, head, faults):
        seen = dict.fromkeys(inner, 0)
        for index, table in enumerate(rows):
            made = _one(cls, table, name, lines, head, index, inner, seen, faults)
            if made is not None:
                yield made, name, lines.of(head, index)


def _one(
    cls: type[T],
    table: dict[str, Any],
    name: str,
    lines: Lines,
    head: str,
    index: int,
    inner: Mapping[str, type],
    seen: dict[str, int],
    faults: list[Fault],
) -> T | None:
    outer = dict(table)
    made: dict[str, tuple[Any, ...]] = {}
    good = True
    for key, kind in inner.items():
        rows = outer.pop(key, [])
        if not isinstance(rows, list):
            faults.append(Fault(name, lines.of(head, index), f"{head}.{key} is not a list", f"write [[{head}.{key}]]"))
            good = False
            continue
        built: list[Any] = []
        for row in rows:
            one = build(kind, row, name, lines, f"{head}.{key}", seen[key], faults)
            seen[key] += 1
            good = good and one is not None
            built.append(one)
        made[key + "s"] = tuple(built)
    for key in set(made) & set(outer):
        faults.append(Fault(name, lines.of(head, index, key), f'unknown key "{key}"', f"write [[{head}.{key[:-1]}]]"))
        outer.pop(key)
        good = False
    one = build(cls, outer, name, lines, head, index, faults)
    return replace(one, **made) if one is not None and good else None  # type: ignore[type-var]


def unique(
    found: Iterator[Found[T]],
    head: str,
    into: dict[str, T],
    faults: list[Fault],
    where: Callable[[str, str, int | None], None] = lambda _id, _file, _line: None,
) -> None:
    """Puts entries of one folder under their ids; the same id twice there is a fault, a later folder wins."""
    here: set[str] = set()
    for made, file, line in found:
        key = str(getattr(made, "id"))  # noqa: B009 - T has no protocol of its own
        if key in here:
            faults.append(Fault(file, line, f'{head} "{key}" stands twice', "give one of them another id"))
        here.add(key)
        into[key] = made
        where(key, file, line)
