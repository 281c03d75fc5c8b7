"""Pictures made by the server as SVG: plain figures and words in, text out.

Nothing here knows a record, a request or a page. The content policy allows no style attribute
and no style element, so shapes carry classes for the style sheet, or presentation attributes
where a picture stands alone on paper.
"""
