"""Methods for what hangs: level, flatness, fixings, load cells."""
