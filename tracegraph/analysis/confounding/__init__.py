"""What else could explain what a suspect explains: windows, aliases, companions, parents."""
