"""The files of an archive: by digest, on their way in and out, checked."""
