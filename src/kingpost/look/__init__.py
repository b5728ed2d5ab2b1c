"""Photos in time and place. For now by time alone: which picture was taken while, or just after, which words."""

from .pairing import Moment, by_time

__all__ = ["Moment", "by_time"]
