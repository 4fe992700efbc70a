"""Backup of the whole archive: made, checked and restored."""
