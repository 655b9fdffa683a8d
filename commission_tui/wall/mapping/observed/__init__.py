"""What a person saw, cabinet by cabinet: tables, blocks typed as they are said, tiles turned, mirrored or displaced."""
