"""What comes from phones and goes to them."""
