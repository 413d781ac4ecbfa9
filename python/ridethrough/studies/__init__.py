"""Studies that run many vans or trips."""
