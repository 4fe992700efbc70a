"""The files of an archive: stored by digest, added and deleted, checked."""
