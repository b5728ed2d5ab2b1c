"""How fast, and in how much memory: `python -m bench`."""
