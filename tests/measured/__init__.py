"""Machines, pipes and nozzles that others measured, beside what the empty template says of such a thing unmeasured."""
