"""Makes an empty visit folder to start from."""

from __future__ import annotations

import os
from importlib import resources
from pathlib import Path

from .errors import VisitError
from .facts import Trouble
from .files import shown

FOLDERS = ("walk", "photos", "thermal")


def new(folder: Path) -> tuple[Path, ...]:
    """Writes a commented visit.toml, readings.csv and the subfolders; returns what it wrote.

    Raises VisitError where the folder already holds something, which is never overwritten, or cannot be written.
    """
    folder, name = Path(folder), shown(str(folder))
    try:
        if os.path.lexists(folder) and (not folder.is_dir() or any(folder.iterdir())):
            raise VisitError([Trouble(name, None, "already holds something", "give the name of a new folder")])
        folder.mkdir(parents=True, exist_ok=True)
        for sub in FOLDERS:
            (folder / sub).mkdir()
        written = []
        for blank in sorted(resources.files(__package__).joinpath("blank").iterdir(), key=lambda b: b.name):
            path = folder / blank.name
            path.write_bytes(blank.read_bytes())
            written.append(path)
    except OSError as err:
        why = (err.strerror or type(err).__name__).lower()
        raise VisitError([Trouble(name, None, f"cannot be written ({why})", "choose another place")]) from None
    return (*written, *(folder / sub for sub in FOLDERS))
