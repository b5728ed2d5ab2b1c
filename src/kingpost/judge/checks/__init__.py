"""The logic of the checks, one module a subject. Every limit comes from trade/data/provisions."""
