"""What was done, and what can be done next."""
