"""Kingpost: a narrated walk through a house becomes an illustrated inspection report, with its evidence."""

__version__ = "0.1.0"
