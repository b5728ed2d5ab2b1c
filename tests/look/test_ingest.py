"""Every picture once: copies upright, in sRGB, freed of data; what cannot be decoded is named."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageDraw, ImageOps

from kingpost.look import ingest_worker
from kingpost.look.ingest import Ingested, ingest, store
from kingpost.visit import read
from kingpost.visit.facts import Photo

HEIC = Path(__file__).parent.parent / "visit" / "computed-turned.heic"
GPS, MAKER, SERIAL = 0x8825, 0x927C, 0xA431


def scene(size: tuple[int, int] = (240, 160), seed: int = 1) -> Image.Image:
    """A picture that looks different from every side."""
    image = Image.linear_gradient("L").resize(size).convert("RGB")
    draw = ImageDraw.Draw(image)
    draw.rectangle((10, 12, size[0] // 3, size[1] // 2), fill=(180, 40 + seed % 100, 30))
    draw.line((0, size[1] - 9, size[0], size[1] // 3), fill=(20, 20, 160), width=5)
    return image


def with_secrets(image: Image.Image, orientation: int = 1) -> bytes:
    """A JPEG as a camera writes it: where, by which camera, with a thumbnail."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010F], exif[0x0110] = orientation, "Northlamp", "Pocket 3"
    detail = exif.get_ifd(0x8769)
    detail[0x9003], detail[SERIAL], detail[MAKER] = "2026:05:12 09:44:10", "SERIAL-0042", b"maker secrets"
    exif.get_ifd(GPS).update({1: "N", 2: (35.0, 46.0, 12.0), 3: "W", 4: (78.0, 38.0, 3.0)})
    out = io.BytesIO()
    image.save(out, "JPEG", quality=92, exif=exif, comment=b"SERIAL-0042")
    return out.getvalue()


def visit_of(folder: Path, files: dict[str, bytes]) -> list[Photo]:
    (folder / "photos").mkdir(parents=True, exist_ok=True)
    photos = []
    for name, content in files.items():
        (folder / "photos" / name).write_bytes(content)
        digest = hashlib.sha256(content).hexdigest()
        photos.append(Photo("p" + digest[:12], f"photos/{name}", digest, None, None, 4, 3))
    return photos


def done(tmp_path: Path, files: dict[str, bytes]) -> tuple[list[Photo], Ingested]:
    photos = visit_of(tmp_path / "visit", files)
    return photos, ingest(tmp_path / "visit", photos, at=tmp_path / "store")


@pytest.mark.parametrize("orientation", range(1, 9))
def test_copies_stand_upright_as_pillow_turns_them(tmp_path: Path, orientation: int) -> None:
    content = with_secrets(scene(), orientation)
    (photo,), made = done(tmp_path, {"a.jpg": content})
    copy = made.copy(photo)
    assert copy is not None
    with Image.open(copy) as ours, Image.open(io.BytesIO(content)) as original:
        theirs = ImageOps.exif_transpose(original)
        assert ours.size == theirs.size
        away = np.asarray(ours, dtype=np.int16) - np.asarray(theirs.convert("RGB"), dtype=np.int16)
        assert np.abs(away).mean() < 4


def test_nothing_but_the_picture_reaches_a_copy(tmp_path: Path) -> None:
    heic = HEIC.read_bytes()
    photos, made = done(tmp_path, {"a.jpg": with_secrets(scene(), 6), "b.heic": heic})
    assert set(made.seen) == {p.id for p in photos}
    written = sorted(p for p in (tmp_path / "store").rglob("*") if p.is_file())
    assert len(written) == 3 * len(photos)
    for path in written:
        content = path.read_bytes()
        assert all(secret not in content for secret in (b"SERIAL", b"secrets", b"Northlamp", b"Exif", b"GPS"))
        if path.suffix == ".jpg":
            with Image.open(path) as copy:
                assert not copy.getexif() and not {"exif", "icc_profile", "comment", "xmp"} & set(copy.info)


def test_sizes_are_1600_and_320_and_small_pictures_are_not_blown_up(tmp_path: Path) -> None:
    photos, made = done(tmp_path, {"a.jpg": with_secrets(scene((2400, 1500))), "b.jpg": with_secrets(scene((200, 90)))})
    sizes = []
    for photo in photos:
        for longest in (1600, 320):
            copy = made.copy(photo, longest)
            assert copy is not None
            with Image.open(copy) as picture:
                sizes.append(picture.size)
    assert sizes == [(1600, 1000), (320, 200), (200, 90), (200, 90)]


def test_originals_are_never_altered_and_the_store_serves_the_second_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    files = {f"{n}.jpg": with_secrets(scene(seed=n)) for n in range(3)}
    photos, made = done(tmp_path, files)
    assert {n: (tmp_path / "visit/photos" / n).read_bytes() for n in files} == files
    assert sorted(p.name for p in (tmp_path / "visit").rglob("*") if p.is_file()) == sorted(files)

    def none(*_: object) -> None:
        raise AssertionError("a picture was decoded again")

    monkeypatch.setattr("kingpost.look.ingest._Crew", none)
    assert ingest(tmp_path / "visit", photos, at=tmp_path / "store") == made


def test_a_store_that_was_cut_short_is_made_again(tmp_path: Path) -> None:
    photos, made = done(tmp_path, {"a.jpg": with_secrets(scene())})
    (marks,) = (tmp_path / "store").rglob("*.json")
    for broken in (b"", b"{}", b'{"hash": "xyz"}', b"[1, 2]"):
        marks.write_bytes(broken)
        assert ingest(tmp_path / "visit", photos, at=tmp_path / "store").seen == made.seen


def test_marks_do_not_depend_on_the_number_of_processes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    photos = visit_of(tmp_path / "visit", {f"{n}.jpg": with_secrets(scene(seed=n)) for n in range(9)})
    results = []
    for cores in (1, 4):
        monkeypatch.setattr(os, "cpu_count", lambda cores=cores: cores)
        results.append(ingest(tmp_path / "visit", photos, at=tmp_path / f"store{cores}").seen)
    assert results[0] == results[1] and list(results[0]) == [p.id for p in photos]


def test_a_store_that_cannot_be_written_costs_the_copies_not_the_marks(tmp_path: Path) -> None:
    photos = visit_of(tmp_path / "visit", {"a.jpg": with_secrets(scene())})
    (tmp_path / "file").write_bytes(b"")
    made = ingest(tmp_path / "visit", photos, at=tmp_path / "file" / "store")
    assert set(made.seen) == {photos[0].id} and made.copy(photos[0]) is None


def noise(size: tuple[int, int]) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 40).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


@cache
def bomb() -> bytes:
    """A PNG of 14,000 x 14,000 plain pixels: some 30 kB, 588 MB unpacked as colours."""
    out = io.BytesIO()
    Image.new("1", (14_000, 14_000)).save(out, "PNG", compress_level=6)
    return out.getvalue()


@cache
def hundred(progressive: bool = False) -> bytes:
    """A grey JPEG of 10,000 x 10,000 with something drawn in it, as the largest telephones make them: 100 million."""
    image = Image.new("L", (10_000, 10_000), 90)
    image.paste(200, (2000, 3000, 6000, 5000))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=60, progressive=progressive)
    return out.getvalue()


BAD: dict[str, Callable[[], bytes]] = {
    "empty.jpg": lambda: b"",
    "words.jpg": lambda: b"not a picture",
    "half.jpg": lambda: noise((400, 300))[:9000],
    "cut.heic": lambda: HEIC.read_bytes()[:-300],
    "bomb.png": bomb,
    "progressive.jpg": lambda: hundred(progressive=True),
    "heic.jpg": lambda: b"\0\0\0\x18ftypheic" + bytes(300),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_decoded_is_named_and_the_rest_goes_on(tmp_path: Path, name: str) -> None:
    good = with_secrets(scene())
    photos, made = done(tmp_path, {name: BAD[name](), "good.jpg": good})
    assert list(made.seen) == [photos[1].id]
    (trouble,) = made.trouble
    assert trouble.file == f"photos/{name}" and trouble.mend and "Traceback" not in trouble.problem


def test_a_plain_jpeg_of_a_hundred_million_pixels_is_used_and_never_unpacked_whole(tmp_path: Path) -> None:
    """Unpacked it is 100 MB; the process that makes its copies may take half of that more than for a small picture."""
    (tmp_path / "large.jpg").write_bytes(hundred())
    (tmp_path / "small.jpg").write_bytes(with_secrets(scene()))
    most = {}
    for name in ("small", "large"):
        code = (
            "import resource, sys; from pathlib import Path; from kingpost.look.ingest_worker import make;"
            f"make(Path(sys.argv[1]), Path(sys.argv[2]) / '{name}');"
            "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
        )
        command = [sys.executable, "-c", code, str(tmp_path / f"{name}.jpg"), str(tmp_path)]
        most[name] = int(subprocess.run(command, capture_output=True, check=True).stdout) / 1024
    with Image.open(tmp_path / "large.1600.jpg") as copy:
        assert copy.size == (1600, 1600)
        inside, outside = copy.convert("L").getpixel((640, 640)), copy.convert("L").getpixel((100, 100))
    assert isinstance(inside, int) and isinstance(outside, int)
    assert abs(inside - 200) < 4 and abs(outside - 90) < 4
    assert most["large"] - most["small"] < 50  # MB


def test_a_whole_visit_of_hostile_files_is_survived_and_each_is_named(tmp_path: Path) -> None:
    """From reading the folder on: a picture for every good file, a sentence for every bad one."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "visit.toml").write_text("[visit]\nstarted = 2026-05-12T09:00:00-05:00\n")
    good = {"good.jpg": with_secrets(scene()), "large.jpg": hundred(), "png.jpg": HEIC.read_bytes()}
    for name, content in (good | {n: b() for n, b in BAD.items()}).items():
        (tmp_path / "photos" / name).write_bytes(content)
    visit = read(tmp_path)
    made = ingest(visit.folder, visit.photos, at=tmp_path / "store")
    used = {p.file.removeprefix("photos/") for p in visit.photos if p.id in made.seen}
    assert used == set(good)
    named = {t.file.removeprefix("photos/"): t for t in (*visit.trouble, *made.trouble)}
    assert set(BAD) <= set(named) and all(named[n].mend for n in BAD)


def test_the_first_of_several_pictures_in_one_file_is_used(tmp_path: Path) -> None:
    """MPO: a JPEG with more behind it, as telephones write depth and brightness."""
    out = io.BytesIO()
    scene().save(out, "MPO", save_all=True, append_images=[Image.new("RGB", (240, 160), (9, 9, 9))])
    with Image.open(io.BytesIO(out.getvalue())) as opened:
        assert opened.format == "MPO"
    (photo,), made = done(tmp_path, {"a.jpg": out.getvalue()})
    copy = made.copy(photo)
    assert copy is not None
    with Image.open(copy) as ours:
        away = np.asarray(ours, dtype=np.int16) - np.asarray(scene(), dtype=np.int16)
    assert np.abs(away).mean() < 4


def test_what_is_inside_counts_not_the_name(tmp_path: Path) -> None:
    png = io.BytesIO()
    scene().save(png, "PNG")
    photos, made = done(tmp_path, {"png.jpg": png.getvalue(), "heic.png": HEIC.read_bytes()})
    assert set(made.seen) == {p.id for p in photos} and not made.trouble


def test_a_worker_that_dies_is_replaced_and_its_picture_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    photos = visit_of(tmp_path / "visit", {f"{n}.jpg": with_secrets(scene(seed=n)) for n in range(3)})
    from kingpost.look import ingest as module

    asked = module._ask

    def deadly(worker: object, job: dict[str, str]) -> dict[str, object] | None:
        if job["path"].endswith("1.jpg"):
            worker.kill()  # type: ignore[attr-defined]
            worker.wait()  # type: ignore[attr-defined]
        return asked(worker, job)  # type: ignore[arg-type]

    monkeypatch.setattr(module, "_ask", deadly)
    made = ingest(tmp_path / "visit", photos, at=tmp_path / "store")
    assert set(made.seen) == {photos[0].id, photos[2].id}
    assert [t.file for t in made.trouble] == ["photos/1.jpg"]


def linear_profile() -> bytes:
    """sRGB's own primaries with a straight curve: the parametric curve of the built-in profile set to gamma 1."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    at = made.index(b"para\0\0\0\0")
    made[at + 8 : at + 16] = b"\0\0\0\0" + b"\0\x01\0\0"  # function 0, g = 1.0 (ICC.1:2010, 10.16; from memory)
    return bytes(made).replace("sRGB".encode("utf-16-be"), "ours".encode("utf-16-be"))


def test_colours_of_another_profile_become_srgb(tmp_path: Path) -> None:
    """A linear 0.5 is 188 in sRGB: IEC 61966-2-1, 1.055 x^(1/2.4) - 0.055 (formula from memory)."""
    path = tmp_path / "a.png"
    Image.new("RGB", (64, 64), (128, 26, 230)).save(path, icc_profile=linear_profile())
    expected = [round(255 * (1.055 * (v / 255) ** (1 / 2.4) - 0.055)) for v in (128, 26, 230)]
    got = ingest_worker.upright(path).getpixel((5, 5))
    assert isinstance(got, tuple) and max(abs(a - b) for a, b in zip(got, expected, strict=True)) <= 1
    Image.new("RGB", (64, 64), (128, 26, 230)).save(path, icc_profile=b"no profile at all")
    assert ingest_worker.upright(path).getpixel((5, 5)) == (128, 26, 230)


def test_sixteen_bits_and_what_is_transparent_are_read(tmp_path: Path) -> None:
    deep = tmp_path / "deep.png"
    Image.fromarray(np.full((20, 20), 40_000, dtype=np.uint16)).save(deep)
    assert ingest_worker.upright(deep).getpixel((3, 3)) == (155, 155, 155)  # 40,000 / 257
    clear = tmp_path / "clear.png"
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(clear)
    assert ingest_worker.upright(clear).getpixel((3, 3)) == (255, 255, 255)


def test_where_the_store_is(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("KINGPOST_CACHE", str(tmp_path / "mine"))
    assert store().parent == tmp_path / "mine"
    monkeypatch.delenv("KINGPOST_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert store().parent == tmp_path / "xdg" / "kingpost"
