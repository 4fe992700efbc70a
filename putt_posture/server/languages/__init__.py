"""The catalogues of the lesson page: ``<language>.po`` is written by people, ``<language>.mo`` is made from it."""
