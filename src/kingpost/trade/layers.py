"""Data of ours with folders of a firm laid over it: read, held against what is known, all faults at once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from .load import DATA
from .nesting import nested, unique
from .reading import Fault, entries


class Layers:
    """Our data folder and those laid over it, with the faults found so far and where each entry stands."""

    def __init__(self, over: Sequence[Path]) -> None:
        self.folders = (DATA, *over)
        self.faults: list[Fault] = []
        self._where: dict[tuple[str, str], tuple[str, int | None]] = {}

    def laid(self, pattern: str, head: str, cls: type[Any], inner: Mapping[str, type] | None = None) -> dict[str, Any]:
        """Every `[[head]]` of the matching files by id; a later folder wins. `inner`: tables within, by key."""
        out: dict[str, Any] = {}

        def note(key: str, file: str, line: int | None) -> None:
            self._where[head, key] = (file, line)

        for folder in self.folders:
            if inner:
                found = nested(folder, pattern, head, cls, inner, self.faults)
            else:
                found = entries(folder, pattern, head, cls, self.faults)
            unique(found, head, out, self.faults, note)
        return out

    def need(self, head: str, one: str, key: str, ids: Iterable[str], among: Iterable[str]) -> None:
        """A fault for every id that entry `one` names and that is not known, with the nearest that is."""
        have = set(among)
        for name in ids:
            if name and name not in have:
                near = difflib.get_close_matches(name, sorted(have), 2, 0.8)
                mend = "did you mean " + " or ".join(near) + "?" if near else "add it, or take it out"
                self.fault(head, one, f'{key} "{name}" is not known', mend, ":")

    def fault(self, head: str, one: str, problem: str, mend: str, colon: str = "") -> None:
        """A fault of one entry, with its file and line."""
        file, line = self._where.get((head, one), ("", None))
        self.faults.append(Fault(file, line, f'{head} "{one}"{colon} {problem}', mend))
