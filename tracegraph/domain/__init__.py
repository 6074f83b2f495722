"""What the plant's records are, and the rules that need no computer to state."""
