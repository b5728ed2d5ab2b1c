"""Extracts: for one reader, cut from the report as it stands. No word and no number is written anew."""

from .asked import ExtractError, Reader, reader
from .pages import edition_words, extract, with_editions

__all__ = ["ExtractError", "Reader", "edition_words", "extract", "reader", "with_editions"]
