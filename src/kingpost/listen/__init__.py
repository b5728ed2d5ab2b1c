"""Speech to remarks: where, what, how bad, how much."""
