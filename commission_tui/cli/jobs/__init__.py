"""Commands on a job: opening, logging, tables, parts, visits, the trail."""
