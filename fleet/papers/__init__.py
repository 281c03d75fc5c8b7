"""What leaves on paper or as a file: PDF, CSV and XLSX made of what the reads answer.

Nothing here asks the database itself: questions go through fleet/reads. No word of English stands
in a template of paper: words are made here, through gettext.
"""
