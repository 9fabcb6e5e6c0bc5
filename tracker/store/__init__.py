"""Files that survive their program."""
