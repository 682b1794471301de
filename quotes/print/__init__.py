"""What goes on paper: the PDF of a revision."""
