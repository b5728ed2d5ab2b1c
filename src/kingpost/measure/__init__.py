"""The arithmetic of the trade: pure functions, standard library only, each with its source."""
