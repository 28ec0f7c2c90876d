"""What findings add up to, and what a sign-off says of them."""
