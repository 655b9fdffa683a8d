"""Checklist files, ours and a firm's own: read, checked key by key, put in order, tried."""
