"""What is printed: QR symbols and label sheets."""
