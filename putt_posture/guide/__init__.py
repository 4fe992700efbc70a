"""Pages for people who use the command: options, results, the archive, and how it runs."""
