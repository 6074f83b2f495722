"""Read a folder of records: nothing lost, nothing guessed."""
