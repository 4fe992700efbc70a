"""The migrations of the tables, one step in each file."""
