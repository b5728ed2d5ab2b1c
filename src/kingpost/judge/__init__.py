"""Remarks, readings and provisions become findings with verdicts."""
