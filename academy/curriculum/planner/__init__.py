"""A plan laid on a head: what the planner shows of it, and what a module keeps of it."""
