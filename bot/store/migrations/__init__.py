"""How the tables came to be, one step a file; run when a store is opened (see schema.py)."""
