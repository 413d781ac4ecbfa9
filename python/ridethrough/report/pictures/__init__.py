"""Pictures of results: figures whose texts keep clear of each other from a telephone's width to a desk's."""
