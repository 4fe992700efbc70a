"""Files and folders on this disk: written completely or not at all, private, marked, read safely."""
