"""Students, their consent, and how long their data is kept."""
