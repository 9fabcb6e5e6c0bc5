"""A block's picture made of units and joins: which units, and how each is made."""
