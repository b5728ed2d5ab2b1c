"""Fields over the plan: grading, floor levels, roof planes, water paths."""
