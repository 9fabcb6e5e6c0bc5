"""Piles, steps and actions: the common language."""
