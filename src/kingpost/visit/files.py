"""What lies in a visit folder: by name, in one fixed order, never following a folder's links."""

from __future__ import annotations

import difflib
import os
from pathlib import Path

from .errors import Troubles

FOLDERS = ("walk", "photos", "thermal", "journal", "trade", "editions")
FILES = ("visit.toml", "readings.csv", "panel.toml", "decisions.jsonl")
LATER = {  # named in the contract, read by a later version
    "grades.csv": "spot elevations",
    "levels.csv": "a floor survey",
    "plan.toml": "a plan",
}
SYSTEM = {"thumbs.db", "desktop.ini", "__macosx"}  # what operating systems drop; with all names that begin with a dot
ASIDE = ("readme", "licence", "license", "notice")  # a person's notes about the folder


def shown(name: str) -> str:
    """A file name as it can be printed anywhere.

    >>> shown("a\\nb"), shown("caf\\udce9")
    ('a\\\\nb', 'caf\\\\udce9')
    """
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in name)


def odd(name: str) -> bool:
    """Does a file name hold what no text can hold: broken bytes or control characters?"""
    return any(not c.isprintable() for c in name)


def there(path: Path) -> bool:
    """Does the name stand in its folder, whatever it leads to?"""
    return os.path.lexists(path)


def is_folder(path: Path) -> bool:
    """Is it a folder that can be looked into? No error of the disk is one."""
    try:
        return path.is_dir()
    except OSError:
        return False


def names(folder: Path, told: Troubles, within: str = "") -> list[str]:
    """The names in a folder that mean something, sorted; a name that cannot be written down is a trouble."""
    try:
        found = sorted(path.name for path in folder.iterdir())
    except OSError as err:
        told.add(within or ".", None, f"cannot be listed ({(err.strerror or '').lower()})", "check who may read it")
        return []
    good = []
    for name in found:
        if name.startswith(".") or name.lower() in SYSTEM:
            continue
        if odd(name):
            told.add(
                f"{within}{shown(name)}", None, "its name holds signs that cannot be printed", "give it another name"
            )
        else:
            good.append(name)
    return good


def inside(folder: Path, sub: str, told: Troubles, aside: tuple[str, ...] = ()) -> list[tuple[Path, str]]:
    """Every file of a subfolder as (path, "sub/name"), in order of name. No subfolder, no files.

    aside  names of folders in it that belong there and are read elsewhere, or need not be read
    """
    at = folder / sub
    if not there(at):
        return []
    if not is_folder(at):
        told.add(sub, None, "is not a folder", f"make a folder {sub}/ and put the files in it")
        return []
    out = []
    for name in names(at, told, f"{sub}/"):
        path, shown_as = at / name, f"{sub}/{name}"
        if name in aside and is_folder(path):
            continue
        if is_folder(path):
            told.add(shown_as, None, "is a folder; nothing in it was read", f"put its files directly into {sub}/")
        else:
            out.append((path, shown_as))
    return out


def strangers(folder: Path, told: Troubles) -> None:
    """Names everything at the top of the folder that this version does not read."""
    for name in names(folder, told):
        path, low = folder / name, name.lower()
        if name in FOLDERS or name in FILES or low.startswith(ASIDE):
            continue
        if name in LATER:
            told.add(
                name, None, f"holds {LATER[name]}, which this version does not read yet", "leave it; nothing is lost"
            )
        elif is_folder(path):
            if there(path / "record.json"):  # an earlier report; it changes with every run and is no evidence
                continue
            told.add(
                name, None, "is a folder that Kingpost does not know; nothing in it was read", _near(name, FOLDERS)
            )
        else:
            told.add(name, None, "is a file that Kingpost does not know; it was not read", _near(name, FILES))


def _near(name: str, among: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(name.lower(), among, 1, 0.6)
    return f"did you mean {near[0]}?" if near else "put words in walk/, pictures in photos/, or take it out"
