"""The command line: a thin door."""


def main() -> int:
    """Run one command; exit 0, or 2 for input that cannot be used."""
    raise SystemExit(2)
