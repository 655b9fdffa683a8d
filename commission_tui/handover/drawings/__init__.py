"""The wall and its charts as drawings: SVG for the pages, DXF for other programs."""
