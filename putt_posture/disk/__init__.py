"""Files and folders on this disk: whole or not at all, private, marked, read with care."""
