"""Marks that a person drew on pictures, as the journal keeps them: points in shares of the upright picture."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kingpost.visit.facts import Visit

SHAPES = ("ring", "point", "line", "box", "arrow")
LEAST = {"ring": 2, "line": 2, "arrow": 2, "box": 2, "point": 1}  # points that a shape needs


def of_pictures(visit: Visit) -> dict[str, tuple[dict[str, Any], ...]]:
    """The marks of each picture by its id, in the order in which they were drawn; the photo itself is not touched.

    A mark names its picture by id, or by the `media` under which the journal lists it. What cannot be drawn is left
    out: an unknown shape, or too few points.
    """
    if visit.journal is None:
        return {}
    by_name = {p.id: p.id for p in visit.photos}
    by_file = {p.file: p.id for p in visit.photos}
    by_name |= {shot.media: by_file[shot.file] for shot in visit.journal.shots if shot.file in by_file}
    out: dict[str, list[dict[str, Any]]] = {}
    for noted in visit.journal.noted:
        if noted.kind != "mark":
            continue
        photo = by_name.get(str(noted.body.get("photo", "")))
        made = _mark(noted.body)
        if photo is not None and made is not None:
            out.setdefault(photo, []).append(made)
    return {photo: tuple(marks) for photo, marks in sorted(out.items())}


def _mark(body: Mapping[str, Any]) -> dict[str, Any] | None:
    shape, points = str(body["shape"]), body["points"]
    if shape not in SHAPES or len(points) < LEAST[shape]:
        return None
    return {
        "shape": shape,
        "points": [[float(x), float(y)] for x, y in points],
        "label": str(body.get("label", "")),
        "length": _length(body.get("length")),
    }


def _length(said: Any) -> str:
    """ "4.1 ± 0.2 in" of {value, unit, uncertainty}; the doubt is two standard uncertainties."""
    if not isinstance(said, dict) or not isinstance(said.get("value"), (int, float)):
        return ""
    doubt = said.get("uncertainty")
    shown = f"{float(said['value']):g}"
    if isinstance(doubt, (int, float)) and doubt > 0:
        shown += f" ± {2 * float(doubt):.2g}"
    return f"{shown} {said.get('unit', '')}".strip()
