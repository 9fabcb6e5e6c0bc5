"""All of it as steps in order."""
