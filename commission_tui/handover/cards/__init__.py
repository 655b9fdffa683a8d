"""What one reader needs on a side: client, operator, electrician, rigger, makers of pictures."""
