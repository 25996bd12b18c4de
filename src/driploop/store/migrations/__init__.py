"""How older databases become today's."""
