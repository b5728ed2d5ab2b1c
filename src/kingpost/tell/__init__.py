"""One record becomes record.json, HTML and PDF."""

from .write import PencilLeft, Written, write

__all__ = ["PencilLeft", "Written", "write"]
