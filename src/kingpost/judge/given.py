"""What a check is given: numbers with their uncertainty, words, yes or no, lists and tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from kingpost.measure.conformity import Measured

Value = Any  # Measured, str, bool, tuple of Measured, or what JSON holds


class Missing(LookupError):
    """An input that the check cannot do without was not given; the run turns this into cannot_tell."""

    def __init__(self, *names: str) -> None:
        self.names = names
        super().__init__("missing: " + ", ".join(names))


@dataclass(frozen=True, slots=True)
class Given:
    """The inputs of one run of one check, by name. Asking for one that is not there raises Missing."""

    values: Mapping[str, Value] = field(default_factory=dict)
    built: int | None = None  # the year judged by, where known

    def has(self, *names: str) -> bool:
        """Whether all of them were given."""
        return all(self.values.get(n) is not None for n in names)

    def _get(self, name: str) -> Value:
        value = self.values.get(name)
        if value is None:
            raise Missing(name)
        return value

    def num(self, name: str) -> Measured:
        """A number with its standard uncertainty."""
        value: Measured = self._get(name)
        return value

    def maybe(self, name: str) -> Measured | None:
        """A number where given, else None."""
        return self.num(name) if self.has(name) else None

    def value(self, name: str) -> float:
        """A number without its uncertainty."""
        return self.num(name).value

    def numbers(self, name: str) -> tuple[Measured, ...]:
        """A list of numbers, at least one."""
        value: tuple[Measured, ...] = self._get(name)
        return value

    def word(self, name: str) -> str:
        """One of the choices."""
        return str(self._get(name))

    def yes(self, name: str) -> bool:
        """Yes or no."""
        return bool(self._get(name))

    def no(self, name: str) -> bool:
        """Whether no was said; what was not said is not no."""
        return self.values.get(name) is False

    def data(self, name: str) -> Any:
        """A list or table as JSON holds it."""
        return self._get(name)
