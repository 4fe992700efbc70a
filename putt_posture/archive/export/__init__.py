"""Exports: one student, or the tables of the whole archive."""
