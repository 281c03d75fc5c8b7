"""Pictures made here as SVG: from plain values, for a page, a print or a document."""
