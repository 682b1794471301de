"""Tables out of files of any kind, row by row in bounded memory, from any place in the file."""
