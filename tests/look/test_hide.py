"""Papers and screens: suggested where lettering stands close together, hidden only where the inspector says so."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from kingpost.inspection import inspect
from kingpost.look import hide_suggest
from kingpost.tell.pictures import Pictures
from kingpost.visit import read
from kingpost.visit.record import PhotoRef

VISIT = '[house]\nname = "x"\n[visit]\nstarted = 2026-05-12T09:00:00-05:00\n'
ASKED = "[pictures]\nlook_for_papers = true\n"


def room(paper: bool) -> bytes:
    """A wall and a floor; on it a sheet of writing, which nobody wrote."""
    image = Image.new("RGB", (1200, 900), (176, 168, 150))
    pen = ImageDraw.Draw(image)
    pen.rectangle((0, 640, 1200, 900), fill=(110, 80, 60))
    if paper:
        pen.polygon(((420, 250), (780, 262), (770, 700), (400, 690)), fill=(245, 244, 238))
        font = ImageFont.truetype("DejaVuSans.ttf", 22)
        for n in range(12):
            pen.text((445, 290 + 32 * n), f"dear neighbour {n}, the sum", font=font, fill=(25, 25, 30))
    noise = Image.effect_noise(image.size, 12).convert("RGB")
    out = io.BytesIO()
    Image.blend(image, noise, 0.05).save(out, "JPEG", quality=92)
    return out.getvalue()


def visit(folder: Path, asked: str = ASKED) -> Path:
    (folder / "photos").mkdir(parents=True)
    (folder / "visit.toml").write_text(VISIT + asked)
    for name, paper in (("2026-05-12 09.10.00.jpg", True), ("2026-05-12 09.11.00.jpg", False)):
        (folder / "photos" / name).write_bytes(room(paper))
    return folder


def decide(folder: Path, photo: str, boxes: object) -> None:
    line = {"id": "d1", "subject": photo, "verb": "blur", "at": "2026-05-12T18:00:00-05:00", "boxes": boxes}
    (folder / "decisions.jsonl").write_text(json.dumps(line) + "\n")


def photos(folder: Path) -> dict[str, PhotoRef]:
    record = inspect(hide_suggest.look(read(folder)))
    return {Path(p.file).stem[-8:]: p for p in record.photos}


@pytest.fixture(autouse=True)
def own_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KINGPOST_CACHE", str(tmp_path / "cache"))


def test_a_paper_is_suggested_where_it_lies_and_nothing_is_hidden_yet(tmp_path: Path) -> None:
    made = photos(visit(tmp_path / "v"))
    assert made["09.11.00"].blur_suggested == ()
    ((left, top, width, height),) = made["09.10.00"].blur_suggested
    assert left < 0.38 and left + width > 0.56 and top < 0.33 and top + height > 0.72  # all lines are under it
    assert width < 0.5 and height < 0.65
    assert made["09.10.00"].blur == ()


def test_it_is_looked_for_only_where_the_visit_asks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hide_suggest, "Finder", None)
    assert all(p.blur_suggested == () for p in photos(visit(tmp_path / "v", "")).values())


def test_the_inspector_takes_or_leaves_it_and_only_copies_change(tmp_path: Path) -> None:
    folder = visit(tmp_path / "v")
    first = photos(folder)["09.10.00"]
    before = (folder / first.file).read_bytes()
    decide(folder, first.id, "suggested")
    assert photos(folder)["09.10.00"].blur == first.blur_suggested
    decide(folder, first.id, [])
    left = photos(folder)["09.10.00"]
    assert left.blur == left.blur_suggested == ()
    shown = {}
    for name, shot in (("plain", first), ("hidden", replace(first, blur=first.blur_suggested))):
        picture = Pictures(folder).of(shot)
        assert picture is not None
        shown[name] = picture.uri
    assert shown["plain"] != shown["hidden"]
    assert (folder / first.file).read_bytes() == before


def test_taking_a_suggestion_that_is_none_is_named(tmp_path: Path) -> None:
    folder = visit(tmp_path / "v")
    plain = photos(folder)["09.11.00"]
    decide(folder, plain.id, "suggested")
    record = inspect(hide_suggest.look(read(folder)))
    assert any("there is none for this picture" in t.problem and t.line == 1 for t in record.trouble)


def test_a_few_lines_are_no_paper() -> None:
    lines = [(0.2, 0.1 + 0.03 * n, 0.3, 0.02) for n in range(hide_suggest.LINES - 1)]
    assert hide_suggest.papers(lines) == ()
    apart = [(0.2, 0.1 + 0.15 * n, 0.3, 0.02) for n in range(6)]
    assert hide_suggest.papers(apart) == ()
    assert np.all(np.array(hide_suggest.papers([*lines, (0.2, 0.1, 0.3, 0.02)])) <= 1)


def test_what_is_asked_still_stays_asked(tmp_path: Path) -> None:
    folder = visit(tmp_path / "v")
    first = photos(folder)["09.10.00"]
    line = {"id": "d1", "subject": first.id, "verb": "blur", "at": "2026-05-12T18:10:00-05:00"}
    never_suggested = (0.0, 0.0, 0.5, 0.5)
    boxes = {"boxes": [[0.7, 0.7, 0.1, 0.1]], "open": [*first.blur_suggested, never_suggested]}
    (folder / "decisions.jsonl").write_text(json.dumps(line | boxes) + "\n")
    made = photos(folder)["09.10.00"]
    assert made.blur == ((0.7, 0.7, 0.1, 0.1),) and made.blur_suggested == first.blur_suggested
