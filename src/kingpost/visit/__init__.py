"""The record of one inspection: facts, evidence, decisions; reading a visit folder."""

from .empty import new
from .errors import VisitError
from .folder import read
from .journal import merge

__all__ = ["VisitError", "merge", "new", "read"]
