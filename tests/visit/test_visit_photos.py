"""Pictures: their time from wherever it stands, how they lie, and which of them cannot be used."""

from __future__ import annotations

import io
import struct
import zlib
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from kingpost.visit import VisitError, clocks, photos, read
from kingpost.visit.facts import Photo
from tests.conftest import HOUSE, MakeVisit, jpeg

# computed pictures of 96 x 64, upright and turned by a property of the file; written once with libheif 1.15
HEIC = Path(__file__).with_name("computed.heic")


def png(width: int = 8, height: int = 8, *, whole: bool = True) -> bytes:
    """A PNG from its chunks, so that the head can lie about the size. Source: W3C PNG specification, section 5."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    body = chunk(b"IDAT", zlib.compress(b"\0" * 72)) + (chunk(b"IEND", b"") if whole else b"")
    return b"\x89PNG\r\n\x1a\n" + head + body


def seen(make_visit: MakeVisit, **files: bytes) -> tuple[tuple[Photo, ...], list[str]]:
    visit = read(make_visit({f"photos/{name.replace('__', '.')}": content for name, content in files.items()}))
    return visit.photos, [str(t) for t in visit.trouble]


def test_time_size_and_orientation_from_exif(make_visit: MakeVisit) -> None:
    content = jpeg("2026:05:12 09:00:12", size=(48, 32), orientation=6, offset="-05:00", subsec="25")
    (photo,), told = seen(make_visit, a__jpg=content)
    assert photo.taken == datetime.fromisoformat("2026-05-12T09:00:12.250-05:00")
    assert (photo.seconds, photo.time_from, photo.device) == (12.25, "exif", "Northlamp Pocket 3")
    assert (photo.width, photo.height, photo.orientation) == (32, 48, 6)
    assert told == []


@pytest.mark.parametrize("orientation", range(1, 9))
def test_displayed_size_is_that_of_the_turned_picture(make_visit: MakeVisit, orientation: int) -> None:
    from PIL import ImageOps

    content = jpeg(size=(48, 32), orientation=orientation)
    (photo,), _ = seen(make_visit, a__jpg=content)
    turned = ImageOps.exif_transpose(Image.open(io.BytesIO(content)))
    assert (photo.width, photo.height) == turned.size


@pytest.mark.parametrize(
    ("taken", "offset", "seconds"),
    [
        ("2026:05:12 09:00:12", "-05:00", 12.0),
        ("2026:05:12 10:00:12", "-04:00", 12.0),
        ("2026:05:12 14:00:12", "+00:00", 12.0),
        ("2026:05:12 09:00:12", "", 12.0),
        ("2026:05:12 08:59:50", "-05:00", -10.0),
        ("2026:05:12 09:00:12", "nonsense", 12.0),
    ],
)
def test_a_picture_stands_on_the_visit_clock(make_visit: MakeVisit, taken: str, offset: str, seconds: float) -> None:
    (photo,), _ = seen(make_visit, a__jpg=jpeg(taken, offset=offset))
    assert photo.seconds == seconds


def test_a_visit_without_an_offset_takes_the_local_time_as_written(make_visit: MakeVisit) -> None:
    folder = make_visit(
        {"visit.toml": HOUSE.replace("-05:00", ""), "photos/a.jpg": jpeg("2026:05:12 09:00:12", offset="-05:00")}
    )
    assert read(folder).photos[0].seconds == 12.0


@pytest.mark.parametrize(
    ("name", "seconds"),
    [
        ("IMG_20260512_090012.jpg", 12.0),
        ("2026-05-12 09.00.12.jpg", 12.0),
        ("PXL_20260512_090012345.jpg", 12.345),
        ("2026-05-12T09-00-12.jpg", 12.0),
        ("Screenshot 2026-05-12 at 09.00.12.png", 12.0),
        ("20260512090012.jpg", None),
        ("IMG_0031.jpg", None),
        ("IMG_20261345_994410.jpg", None),
    ],
)
def test_time_from_the_name_where_the_picture_has_none(make_visit: MakeVisit, name: str, seconds: float | None) -> None:
    visit = read(make_visit({f"photos/{name}": png() if name.endswith("png") else jpeg("")}))
    assert visit.photos[0].seconds == seconds
    assert visit.photos[0].time_from == ("" if seconds is None else "name")
    says = f"photos/{name}: no time in the picture or its name, so it is tied to no words by time; "
    assert [str(t).startswith(says) for t in visit.trouble] == ([True] if seconds is None else [])


def test_a_time_given_in_visit_toml_wins_and_mends(make_visit: MakeVisit) -> None:
    text = HOUSE + '[[photo]]\nfile = "photos/IMG_0031.jpg"\ntaken = 2026-05-12T09:01:00-05:00\n'
    visit = read(make_visit({"visit.toml": text, "photos/IMG_0031.jpg": jpeg("")}))
    assert (visit.photos[0].seconds, visit.photos[0].time_from) == (60.0, "given")
    assert visit.trouble == ()


def test_a_clock_that_runs_ahead_is_set_right_by_the_name_of_the_camera(make_visit: MakeVisit) -> None:
    text = HOUSE + '[[device]]\nname = "Torchcam 1"\nclock_offset_s = 40\n'
    visit = read(
        make_visit(
            {
                "visit.toml": text,
                "photos/a.jpg": jpeg("2026:05:12 09:02:40", model="Northlamp Torchcam 1"),
                "photos/b.jpg": jpeg("2026:05:12 09:02:00", model="Northlamp Pocket 3"),
            }
        )
    )
    assert [photo.seconds for photo in visit.photos] == [120.0, 120.0]


def test_photos_stand_in_order_of_time_those_without_one_last(make_visit: MakeVisit) -> None:
    found, _ = seen(make_visit, a__jpg=jpeg(""), b__jpg=jpeg("2026:05:12 09:05:00"), c__jpg=jpeg("2026:05:12 09:01:00"))
    assert [p.file for p in found] == ["photos/c.jpg", "photos/b.jpg", "photos/a.jpg"]


def test_an_id_is_of_the_content_and_one_content_counts_once(make_visit: MakeVisit) -> None:
    one, other = jpeg(), jpeg(colour=(1, 2, 3))
    found, told = seen(make_visit, a__jpg=one, b__jpg=one, c__jpg=other)
    assert len({p.id for p in found}) == len(found) == 2
    assert all(p.id == f"p{p.digest[:12]}" for p in found)
    assert told == ["photos/b.jpg: is the same picture as photos/a.jpg, which is used; take one of them out"]


@pytest.mark.parametrize(("name", "size"), [("computed.heic", (96, 64)), ("computed-turned.heic", (64, 96))])
def test_the_head_of_a_heic_agrees_with_libheif(make_visit: MakeVisit, name: str, size: tuple[int, int]) -> None:
    """libheif, through pi_heif, is the independent reader; it is asked about whole files only."""
    from pi_heif.as_plugin import register_heif_opener

    register_heif_opener()
    content = HEIC.with_name(name).read_bytes()
    (photo,), told = seen(make_visit, a__heic=content)
    theirs = Image.open(io.BytesIO(content))
    assert (photo.width, photo.height) == theirs.size == size
    assert photo.orientation == 1  # HEIF turns by a property of its own, not by EXIF
    assert photo.device == theirs.getexif()[0x0110] == "Northlamp Pocket 3"
    assert photo.taken == datetime.fromisoformat("2026-05-12T09:44:10.250-05:00")
    assert told == []


def test_a_camera_far_from_the_visit_is_named(make_visit: MakeVisit) -> None:
    _, told = seen(make_visit, a__jpg=jpeg("2025:05:12 09:00:00"), b__jpg=jpeg("2025:05:12 09:01:00"))
    assert told == [
        "photos/b.jpg: and 1 more of Northlamp Pocket 3 lie 8760 hours or more from the start of the visit; "
        'if that clock is wrong, add [[device]] name = "Northlamp Pocket 3" and clock_offset_s to visit.toml'
    ]


WHOLE = jpeg(size=(400, 300))
UNUSABLE = {
    "cut short": ("a.jpg", WHOLE[:-400], "is cut short: its end is missing; copy it again from the camera"),
    "cut in the head": ("a.jpg", WHOLE[:200], "is not a picture, or is damaged"),
    "text": ("a.jpg", b"The sill is wet.", "is not a picture, or is damaged; copy it again from the camera"),
    "bomb": ("a.png", png(20_000, 20_000), "has more than 89 million pixels; save a smaller copy of it"),
    "greater bomb": ("a.png", png(2**31 - 1, 2**31 - 1), "has more than 89 million pixels"),
    "cut PNG": ("a.png", png(whole=False), "is cut short: its end is missing"),
    "cut HEIC": ("a.heic", HEIC.read_bytes()[:-200], "is not a picture, or is damaged"),
    "HEIC by name": ("a.heic", b"\0\0\0\x18ftypheic" + b"\0" * 40, "is not a picture, or is damaged"),
    "another kind": ("a.gif", b"GIF89a", "is no kind of picture that Kingpost reads; save it as JPEG, HEIC or PNG"),
    "a clip": ("a.mov", b"abc", "is a clip, which this version does not read"),
    "page description": ("a.jpg", b"%!PS-Adobe-3.0 EPSF-3.0\n", "is not a picture, or is damaged"),
}


@pytest.mark.parametrize(("name", "content", "said"), UNUSABLE.values(), ids=UNUSABLE)
def test_a_picture_that_cannot_be_used_is_named(make_visit: MakeVisit, name: str, content: bytes, said: str) -> None:
    visit = read(make_visit({f"photos/{name}": content, "photos/good.jpg": jpeg()}))
    assert [str(t) for t in visit.trouble if str(t).startswith(f"photos/{name}: {said}")], visit.trouble
    assert [p.file for p in visit.photos] == ["photos/good.jpg"]


def test_empty_pictures_alone_are_no_visit(make_visit: MakeVisit) -> None:
    folder = make_visit({"walk/walk.vtt": "", "photos/b.jpg": b"x"})
    (folder / "photos/a.jpg").touch()
    with pytest.raises(VisitError) as told:
        read(folder)
    assert [t.file for t in told.value.troubles] == ["photos/a.jpg", "photos/b.jpg", "visit"]
    assert told.value.troubles[0].problem == "is empty (0 bytes)"


def test_a_thumbnail_inside_does_not_hide_a_cut() -> None:
    """A camera puts a whole small JPEG, with its own end mark, into the head of the large one."""
    small, large = jpeg(size=(16, 12)), WHOLE
    inside = b"\xff\xe2" + struct.pack(">H", len(small) + 2) + small
    nested = large[:2] + inside + large[2:]
    assert photos.whole(nested, "JPEG")
    assert not photos.whole(nested[:-300], "JPEG")


def test_what_a_phone_appends_to_a_picture_is_no_cut(make_visit: MakeVisit) -> None:
    found, told = seen(make_visit, a__jpg=jpeg() + b"\0\0\0\x18ftypmp42" + b"\0" * 4000)
    assert len(found) == 1
    assert told == []


@given(st.integers(0, len(WHOLE) - 3))
def test_every_cut_of_a_jpeg_is_seen(at: int) -> None:
    with pytest.raises(photos._Unusable):
        photos.look_at(WHOLE[:at])


@given(st.binary(max_size=400), st.integers(2, 300))
def test_any_damage_to_the_head_is_survived(noise: bytes, at: int) -> None:
    for content in (WHOLE, png(), HEIC.read_bytes()):
        damaged = content[:at] + noise + content[at + len(noise) :]
        try:
            look = photos.look_at(damaged)
        except photos._Unusable as err:
            assert err.problem and err.mend
        else:
            assert 0 < look.width * look.height <= photos.MOST_PIXELS


@given(st.text(max_size=40), st.text(max_size=8), st.text(max_size=8))
def test_any_exif_time_is_a_moment_or_none(original: str, subsec: str, offset: str) -> None:
    moment = clocks.exif_moment(original, subsec, offset)
    assert moment is None or isinstance(moment, datetime)
    named = clocks.name_moment(original)
    assert named is None or named.tzinfo is None
