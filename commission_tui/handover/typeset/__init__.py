"""From the parts of the document to pages: Typst, attachments, the block that is signed."""
