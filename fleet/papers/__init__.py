"""What leaves on paper or as a file: PDF, CSV and XLSX made of what the reads answer.

Nothing here asks the database anything, and no word of English stands in a template: words are
made here, through gettext.
"""
