"""The record of one inspection: facts, evidence, decisions; reading a visit folder.

What reads a folder needs Pillow and more; the record's types need nothing, also in a browser. So the readers are
fetched when they are first named.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .empty import new
    from .errors import VisitError
    from .folder import read
    from .journal import merge

__all__ = ["VisitError", "merge", "new", "read"]
_WHERE = {"VisitError": "errors", "merge": "journal", "new": "empty", "read": "folder"}


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f".{_WHERE[name]}", __name__), name)
