"""Sews a checklist and compares it with the plan; believes nothing that it proves."""
