"""The words of a walk cut into statements, as moving through the house asks them."""

from __future__ import annotations

import bisect
from collections.abc import Sequence
from dataclasses import dataclass, field

from . import lexicon as say
from .patterns import Hit


@dataclass
class Stretch:
    """The words of a walk and where its statements begin."""

    norms: Sequence[str]
    starts: frozenset[int]
    stops: Sequence[str] = ()  # by word, the punctuation that follows it
    order: list[int] = field(init=False)

    def __post_init__(self) -> None:
        loose = {
            k for k in self.starts if k and self.norms[k - 1] in say.DANGLING and not (self.stops and self.stops[k - 1])
        }
        self.starts = self.starts - loose  # nobody ends a statement with "under the"
        self.order = sorted(self.starts | {0})

    def begin(self, at: int) -> int:
        """Where the statement of a word begins."""
        return self.order[bisect.bisect_right(self.order, at) - 1]

    def end(self, at: int) -> int:
        """Where the statement of a word ends."""
        k = bisect.bisect_right(self.order, at)
        return self.order[k] if k < len(self.order) else len(self.norms)

    def stop(self, at: int) -> bool:
        """Whether something ends after the word at `at`."""
        return at + 1 >= len(self.norms) or at + 1 in self.starts or (bool(self.stops) and bool(self.stops[at]))

    def heads(self, hit: Hit[str]) -> bool:
        """Whether a name stands by itself: "Attic.", "kitchen, then"."""
        last = hit.end - 1
        for _ in range(3):
            if self.stop(last):
                return True
            last += 1
            if self.norms[last] not in say.TAIL:
                return False
        return False
