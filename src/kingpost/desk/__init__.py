"""The server of the field and desk app."""
