"""Sentences, names and reports: everything that is said."""
