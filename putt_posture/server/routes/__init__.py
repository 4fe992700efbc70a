"""The pages, a file for each; every file has its `ROUTES`."""
