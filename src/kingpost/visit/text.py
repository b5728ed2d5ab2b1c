"""Bytes from a stranger's file as text: bounded, decoded, and said so where that took a guess."""

from __future__ import annotations

import codecs
import re
import stat
from pathlib import Path

from .errors import Troubles

MOST_TEXT_BYTES = 32 * 1024 * 1024  # a day of talk is about 1 MB; beyond this it is no transcript and no table
MOST_TOML_BYTES = 1024 * 1024  # TOML is written by hand
MOST_CONTROLS = 0.01  # share of control characters above which it is not text
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")
_UTF16 = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


def plain(words: str) -> str:
    """One line of text: control characters and runs of blanks become one blank; every word stays.

    >>> plain("  two\\n\\twords\\x00 ")
    'two words'
    """
    return " ".join(_CONTROLS.sub(" ", words).replace("\ufeff", "").split())


def read_bytes(path: Path, name: str, told: Troubles, most: int, empty: bool = False) -> bytes | None:
    """The content of an ordinary file of at most `most` bytes, or None and a trouble; it may be `empty` or not."""
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            told.add(name, None, "is not an ordinary file", "put a copy of the file itself there")
            return None
        if about.st_size > most:
            limit = f"{most // (1024 * 1024)} MB"
            told.add(name, None, f"is larger than {limit}", "split it, or take it out")
            return None
        content = path.read_bytes()
    except OSError as err:
        told.add(name, None, f"cannot be read ({_reason(err)})", "check the file and who may read it")
        return None
    if not content and not empty:
        told.add(name, None, "is empty (0 bytes)", "copy it again from the device, or take it out")
        return None
    return content


def _reason(err: OSError) -> str:
    return (err.strerror or type(err).__name__).lower()


def decode(content: bytes, name: str, told: Troubles) -> str | None:
    """Text from bytes. UTF-8 with or without mark, or UTF-16 with mark; Windows-1252 with a word about it.

    None, and a trouble, where the bytes are not text.
    """
    encoding = next((e for mark, e in _UTF16 if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as err:
        guess = _windows(content) if encoding == "utf-8" else None
        if guess is None:
            told.add(name, None, "is not text", "save it as plain text in UTF-8")
            return None
        line = content.count(b"\n", 0, err.start) + 1
        told.add(name, line, "is not UTF-8; read as Windows-1252, so accents may be wrong", "save it as UTF-8")
        text = guess
    if _noise(text):
        told.add(name, None, "is not text (it is full of control characters)", "save it as plain text in UTF-8")
        return None
    return text


def _windows(content: bytes) -> str | None:
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError:
        return None
    return None if _noise(text) else text


def _noise(text: str) -> bool:
    if "\x00" in text:
        return True
    return sum(1 for _ in _CONTROLS.finditer(text)) > MOST_CONTROLS * len(text)


def read_text(path: Path, name: str, told: Troubles, empty: bool = False, most: int = MOST_TEXT_BYTES) -> str | None:
    """The text of one file, or None and a trouble."""
    content = read_bytes(path, name, told, most, empty)
    return None if content is None else decode(content, name, told)
