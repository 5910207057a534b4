"""The capital plan packet: the reserve by year, projects, decisions, scenarios, futures and moves."""
