"""Which way every seam is pressed."""
