"""What is given out: one student, or the tables of the whole archive."""
