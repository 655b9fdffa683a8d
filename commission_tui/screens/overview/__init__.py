"""Overview: stages and checks, what is next, what blocks acceptance, the plan."""
