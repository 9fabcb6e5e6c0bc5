"""Who may in, backups, and the log."""
