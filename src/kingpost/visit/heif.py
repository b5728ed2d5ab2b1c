"""The head of a HEIF picture (.heic): its displayed size and its EXIF, read from the boxes without decoding.

libheif reads more, but a damaged file can end the whole program in it (seen with pi_heif 1.4.0: 2 of 12,000 damaged
copies), so it never sees a file here. Source: ISO/IEC 14496-12 and 23008-12 (from memory, not looked up); the tests
hold what is read here against libheif.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1")
MOST_ITEMS = 10_000  # a picture in tiles has some dozens
_DAMAGE = (struct.error, IndexError, ValueError, KeyError, StopIteration)


class Damaged(ValueError):
    """The boxes do not hold together."""


@dataclass(frozen=True, slots=True)
class Head:
    """Displayed width and height, and the EXIF block as TIFF bytes, empty where there is none."""

    width: int
    height: int
    exif: bytes = b""


@dataclass(frozen=True, slots=True)
class _Box:
    kind: bytes
    start: int  # of its content
    end: int


class _Bytes:
    """Reads whole numbers one after another."""

    def __init__(self, content: bytes, at: int) -> None:
        self.content, self.at = content, at

    def number(self, size: int) -> int:
        piece = self.content[self.at : self.at + size]
        if len(piece) < size:
            raise Damaged("a box ends in the middle")
        self.at += size
        return int.from_bytes(piece, "big")


def head(content: bytes) -> Head:
    """The head of a HEIF file. Raises Damaged where it is none, or is cut short."""
    try:
        if content[4:8] != b"ftyp" or content[8:12] not in BRANDS:
            raise Damaged("is no HEIF file")
        top = {box.kind: box for box in _boxes(content, 0, len(content))}
        meta = top[b"meta"]
        inner = {box.kind: box for box in _boxes(content, meta.start + 4, meta.end)}
        primary = _primary(content, inner[b"pitm"])
        places = _places(content, inner[b"iloc"])
        width, height = _size(content, inner[b"iprp"], primary)
        if not _whole(content, places.get(primary, [])):
            raise Damaged("is cut short")
        exif = next((i for i, kind in _items(content, inner[b"iinf"]) if kind == b"Exif"), None)
        return Head(width, height, _exif(content, places.get(exif, [])) if exif is not None else b"")
    except _DAMAGE as err:
        raise Damaged(str(err)) from None


def _boxes(content: bytes, at: int, end: int) -> Iterator[_Box]:
    for _ in range(MOST_ITEMS):
        if at + 8 > end:
            return
        size, kind = struct.unpack(">I4s", content[at : at + 8])
        start = at + 8
        if size == 1:
            size, start = struct.unpack(">Q", content[start : start + 8])[0], start + 8
        elif size == 0:
            size = end - at
        if size < start - at or at + size > end:
            raise Damaged("a box does not fit into the one around it")
        yield _Box(kind, start, at + size)
        at += size


def _primary(content: bytes, box: _Box) -> int:
    return _Bytes(content, box.start + 4).number(4 if content[box.start] else 2)


def _items(content: bytes, box: _Box) -> Iterator[tuple[int, bytes]]:
    """The number and kind of each item."""
    read = _Bytes(content, box.start + 4)
    read.number(4 if content[box.start] else 2)
    for infe in _boxes(content, read.at, box.end):
        entry = _Bytes(content, infe.start + 4)
        item = entry.number(4 if content[infe.start] >= 3 else 2)
        entry.number(2)
        yield item, content[entry.at : entry.at + 4]


def _places(content: bytes, box: _Box) -> dict[int, list[tuple[int, int]]]:
    """Where in the file each item lies, as (offset, length); items inside other items are left out."""
    version, read = content[box.start], _Bytes(content, box.start + 4)
    sizes = read.number(2)
    offset_size, length_size, base_size, index_size = (sizes >> shift & 15 for shift in (12, 8, 4, 0))
    out: dict[int, list[tuple[int, int]]] = {}
    for _ in range(min(MOST_ITEMS, read.number(4 if version == 2 else 2))):
        item = read.number(4 if version == 2 else 2)
        inside = read.number(2) & 15 if version else 0
        read.number(2)
        base = read.number(base_size)
        extents = []
        for _ in range(min(MOST_ITEMS, read.number(2))):
            read.number(index_size if version else 0)
            extents.append((base + read.number(offset_size), read.number(length_size)))
        if not inside:
            out[item] = extents
    return out


def _size(content: bytes, box: _Box, primary: int) -> tuple[int, int]:
    """Width and height as shown, from the item's extent and its rotation."""
    inner = {one.kind: one for one in _boxes(content, box.start, box.end)}
    properties = list(_boxes(content, inner[b"ipco"].start, inner[b"ipco"].end))
    own = [properties[number - 1] for number in _linked(content, inner[b"ipma"], primary) if number]
    extent = next(one for one in own if one.kind == b"ispe")
    width, height = struct.unpack(">II", content[extent.start + 4 : extent.start + 12])
    quarters = sum(content[one.start] & 3 for one in own if one.kind == b"irot")
    return (height, width) if quarters % 2 else (width, height)


def _linked(content: bytes, box: _Box, primary: int) -> list[int]:
    """The numbers of the properties that belong to an item."""
    version, wide, read = content[box.start], content[box.start + 3] & 1, _Bytes(content, box.start + 4)
    for _ in range(min(MOST_ITEMS, read.number(4))):
        item = read.number(4 if version else 2)
        linked = [read.number(2) & 0x7FFF if wide else read.number(1) & 0x7F for _ in range(read.number(1))]
        if item == primary:
            return linked
    return []


def _whole(content: bytes, extents: list[tuple[int, int]]) -> bool:
    return all(start + length <= len(content) for start, length in extents)


def _exif(content: bytes, extents: list[tuple[int, int]]) -> bytes:
    block = b"".join(content[start : start + length] for start, length in extents)
    skip = int.from_bytes(block[:4], "big")
    return block[4 + skip :].removeprefix(b"Exif\0\0")
