"""The section drawing: this house cut from ridge to footing, made from its facts, with its findings marked on it."""

from .model import Box, Drawing, Mark, Placed
from .sheet import CROPS, draw

__all__ = ["CROPS", "Box", "Drawing", "Mark", "Placed", "draw"]
