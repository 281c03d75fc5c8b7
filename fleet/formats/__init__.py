"""How dates and numbers are written: one file a language, read by Django (FORMAT_MODULE_PATH)."""
