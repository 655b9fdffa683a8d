"""Square marks found in a picture, what each says, and the grid of cabinets that their places make."""
