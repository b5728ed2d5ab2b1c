"""One record becomes record.json, HTML and PDF."""

from .write import Issue, PencilLeft, Written, write

__all__ = ["Issue", "PencilLeft", "Written", "write"]
