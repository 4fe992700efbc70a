"""What changed between two lessons of one student, and whether it is a change at all; pure."""
