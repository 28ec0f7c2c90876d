"""What is made from entries and can be made again."""
