"""Students and their lessons over time: the database, and the files that belong to it."""
