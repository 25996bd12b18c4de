"""The store, on SQLite and on PostgreSQL."""
