"""What follows from the findings: causes and urgency."""
