"""What a person saw, cabinet by cabinet: tables, blocks typed as they are said, tiles turned, mirrored or displaced.

The rest of the mapping and its face import from it; it knows no cause.
"""
