"""The model once more in plain NumPy, from its equations: a second opinion on the core, trial by trial.

Arrays have the trials first. Nothing here calls the core's own arithmetic; a van and a trip are read from the same
declarations, and the random draws are NumPy's own.
"""
