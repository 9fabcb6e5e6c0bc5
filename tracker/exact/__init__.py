"""Exact numbers and flat geometry."""
