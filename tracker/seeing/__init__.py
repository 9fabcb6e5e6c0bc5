"""What a photo shows, told from the colours of its cells' quarters; no photo comes here, and nothing is counted."""
