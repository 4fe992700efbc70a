"""The database: its connection, tables, versions, and checks of its rows."""
