"""What a chart shows, as numbers and one sentence; nothing is drawn here."""
