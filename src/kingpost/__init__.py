"""Kingpost: a narrated walk through a house becomes an illustrated inspection report, with its evidence.

`kingpost.visit.read(folder)` reads a visit, `kingpost.inspect(visit)` judges it, `kingpost.tell.write` renders it.
"""

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["__version__", "inspect"]

if TYPE_CHECKING:
    from .inspection import inspect


def __getattr__(name: str) -> Any:
    # Loaded when asked for: `kingpost check` and the page need the arithmetic without the listening.
    if name == "inspect":
        from .inspection import inspect

        return inspect
    raise AttributeError(f"module 'kingpost' has no attribute {name!r}")
