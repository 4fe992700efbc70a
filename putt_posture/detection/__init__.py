"""What is seen in the clips of a lesson: setups and landmarks."""
