"""The fabricator's shop: what it stocks, how it bends, what its machines need and cost."""
