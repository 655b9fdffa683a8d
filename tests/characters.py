"""What random text is made of."""

from hypothesis import strategies as st

CHARACTERS = st.characters(exclude_categories=["Cs"])
"""Whatever UTF-8 can hold, as of `hypothesis.strategies.text` itself, which works that out from the codec:
three seconds in every process of a fresh clone."""
