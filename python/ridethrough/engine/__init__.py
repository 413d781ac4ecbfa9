"""Runs of trials: simulation, its risk, and what goes with it."""
