"""From readings to verdicts: of which visit, by which limits, averaged or not, still good or not."""
