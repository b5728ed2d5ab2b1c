"""What the inspector owes: limits, the house as found."""
