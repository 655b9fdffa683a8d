"""What the document says, part by part; `document` beside it puts the parts together."""
