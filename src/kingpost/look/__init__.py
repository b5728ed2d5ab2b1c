"""Photos in time and place."""
