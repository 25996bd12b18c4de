"""One module a screen, each with its ``ROUTES``. Handlers gather and hand on; nothing is worked out here."""
