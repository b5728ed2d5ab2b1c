"""What can go wrong with a visit folder.

VisitError    the folder as a whole cannot be used; everything that is wrong with it is in `.troubles`

A single file or row that cannot be used is never raised: it becomes a Trouble and the rest goes on.
"""

from __future__ import annotations

from collections.abc import Sequence

from .facts import Trouble

MOST_ALIKE = 20  # of one kind in one file; the rest is counted, so that noise cannot fill the report


class VisitError(ValueError):
    """The folder cannot be read as a visit. `troubles` holds every fault found, not only the first."""

    def __init__(self, troubles: Sequence[Trouble]) -> None:
        self.troubles = tuple(troubles)
        super().__init__("\n".join(str(t) for t in self.troubles))


class Troubles:
    """Collects what could not be used, in the order it was met.

    >>> told = Troubles()
    >>> told.add("readings.csv", 14, 'value "8 1/4" is not a number', "write 8.25")
    >>> print(*told.all(), sep="\\n")
    readings.csv:14: value "8 1/4" is not a number; write 8.25
    """

    def __init__(self) -> None:
        self._told: list[Trouble] = []
        self._alike: dict[tuple[str, str], list[int | None]] = {}

    def add(self, file: str, line: int | None, problem: str, mend: str, kind: str = "") -> None:
        """One more. Of those with the same `kind` in one file only the first MOST_ALIKE are told one by one."""
        if kind:
            lines = self._alike.setdefault((file, kind), [])
            lines.append(line)
            if len(lines) > MOST_ALIKE:
                return
        self._told.append(Trouble(file, line, problem, mend))

    def more(self, troubles: Sequence[Trouble]) -> None:
        """Those that another reader collected."""
        self._told += troubles

    def all(self) -> tuple[Trouble, ...]:
        """Everything told, file by file as first met and by line; of a kind with too many, their count."""
        more = [
            Trouble(
                file,
                lines[MOST_ALIKE],
                f"{len(lines) - MOST_ALIKE} more lines with {kind}",
                "mend the first ones and run again",
            )
            for (file, kind), lines in self._alike.items()
            if len(lines) > MOST_ALIKE
        ]
        files = {trouble.file: order for order, trouble in reversed([*enumerate(self._told)])}
        return tuple(sorted([*self._told, *more], key=lambda t: (files[t.file], t.line or 0)))
